// Suite "looks": sun, gloves, big text, other words, keyboard and reader.

export async function looksSteps(browser, from, figures, how) {
  void browser, from, figures, how;
}
