"""How soon the start that a slider moves is drawn, with the processor of this computer slowed down to that of a phone.

From the slider's event to the frame that shows figure, demand, bend and load, over every place of the slider; no server is asked on the
way. How much slower a phone is than a desk computer is not one number: four and six times are what the browser's own tools offer for a
middling and a cheap one.
"""

import statistics

from bench.staged_gym import staged_gym

SLOWED = (4, 6)
MOVE = """async () => {
  const input = document.querySelector(".mover input[type=range]");
  const painted = () => new Promise((done) => requestAnimationFrame(() => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = done;
    port2.postMessage(0);
  }));
  const times = [];
  for (let at = Number(input.min); at <= Number(input.max); at += Number(input.step)) {
    input.value = String(at);
    const began = performance.now();
    input.dispatchEvent(new Event("input", { bubbles: true }));
    await painted();
    times.push(performance.now() - began);
  }
  return times;
}"""


def figures() -> list[tuple[str, object, str, str]]:
    with staged_gym("tests.browser.mechanics_stage") as (browser, staged):
        context = staged.open(browser, "phone")
        page = context.new_page()
        start = f"/lifters/{staged.said}/start?a=deadlift&a_at=225&b=deadlift&b_at=325"
        page.goto(start, wait_until="networkidle")
        page.evaluate(MOVE)
        once = statistics.median(page.evaluate(MOVE))
        tools = context.new_cdp_session(page)
        return [figure(page, tools, times, once) for times in SLOWED]


def figure(page, tools, times: int, once: float) -> tuple[str, object, str, str]:
    """The row of one speed; `once` is the median of this computer as it is [ms]."""
    tools.send("Emulation.setCPUThrottlingRate", {"rate": times})
    took = sorted(page.evaluate(MOVE))
    middle, nine = statistics.median(took), took[len(took) * 9 // 10]
    return (
        f"a start moved by its slider and drawn, processor {times} times slower",
        middle / once,
        "×",
        f"aim < 100 ms on a phone; {middle:.0f} ms, nine in ten within {nine:.0f}",
    )
