"""Another solver for the same programmes: SCIP, which shares no code with the one that Floorward calls."""

from pyscipopt import Model, quicksum

from floorward.maths.integer_programme import Programme


def best_by_scip(programme: Programme, *, seconds: float = 60.0) -> tuple[str, float]:
    """Its status, and the goal that it reached."""
    model = Model()
    model.hideOutput()
    model.setParam("limits/time", seconds)
    model.setParam("limits/gap", 0.0)
    columns = zip(programme.least, programme.most, programme.whole, strict=True)
    variables = [
        model.addVar(lb=least, ub=most if most < model.infinity() else None, vtype="I" if whole else "C")
        for least, most, whole in columns
    ]
    for limit in programme.limits:
        total = quicksum(factor * variables[variable] for variable, factor in limit.terms.items())
        if limit.most < model.infinity():
            model.addCons(total <= limit.most)
        if limit.least > -model.infinity():
            model.addCons(total >= limit.least)
    goal = quicksum(factor * variables[variable] for variable, factor in programme.goal.items())
    model.setObjective(goal, "maximize")
    model.optimize()
    return model.getStatus(), model.getObjVal()
