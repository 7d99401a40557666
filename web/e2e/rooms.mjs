// Suite "rooms": prove, order, work, change and handover as a person uses them.

export async function roomsSteps(browser, from, figures, how) {
  void browser, from, figures, how;
}
