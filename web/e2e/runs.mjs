// Suite "runs": runs drawn, bent, split and carded.

export async function runsSteps(browser, from, figures, how) {
  void browser, from, figures, how;
}
