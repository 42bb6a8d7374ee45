"""What people see: wording, drawings, cards and notes, exchange files. Pure."""
