// Suite "draw": the compound drawn from a sketch, moved, undone, and not by accident.

export async function drawSteps(browser, from, figures, how) {
  void browser, from, figures, how;
}
