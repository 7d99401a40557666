// reach walks what can be pressed on a page: how large it is, how far from its
// neighbours, and whether the thumb finds what is pressed most. It runs in the
// page.
export function reach({ least, gap, main, phone }) {
  const out = [];
  const name = (e) => `${e.tagName.toLowerCase()}.${e.className} "${(e.getAttribute('aria-label') ?? e.textContent ?? '').trim().slice(0, 20)}"`;
  const seen = (e) => e.checkVisibility({ checkVisibilityCSS: true, checkOpacity: true }) && !e.closest('[hidden], .hidden, .skip, dialog:not([open])');
  const boxes = [];
  for (const e of document.querySelectorAll('button, a[href], input, select, textarea, summary, label.check, [role="button"]')) {
    // The corners of a run lie where they lie: the nearer of two is meant.
    if (!seen(e) || e.matches('label.check input, [type="file"], .corner-at')) continue;
    const b = e.getBoundingClientRect();
    if (b.width < 1 || b.height < 1) continue;
    if (b.width < least - 0.5 || b.height < least - 0.5) out.push(`${name(e)} is ${Math.round(b.width)} x ${Math.round(b.height)} px`);
    // What a scroller hides lies beside nothing outside of it, and rows slide
    // under a sketch that stays.
    boxes.push([e, b, e.closest('.page, .plan.still, .margin, .foot, .low, .head, dialog, .choices, main.list')]);
  }
  for (let i = 0; i < boxes.length; i++)
    for (let k = i + 1; k < boxes.length; k++) {
      const [a, p, in1] = boxes[i];
      const [c, q, in2] = boxes[k];
      if (in1 !== in2 || a.contains(c) || c.contains(a)) continue;
      const d = Math.max(q.left - p.right, p.left - q.right, q.top - p.bottom, p.top - q.bottom);
      if (d < gap - 0.6) out.push(`${name(a)} lies ${d.toFixed(1)} px from ${name(c)}`);
    }
  if (phone) {
    // One thing that is pressed most stands in the lower two fifths without scrolling.
    const low = innerHeight * 0.6;
    const found = [...document.querySelectorAll('button.main')].filter(seen).map((e) => [e, e.getBoundingClientRect()]).filter(([, b]) => b.top >= low && b.bottom <= innerHeight + 1 && b.height >= main - 0.5 && b.width >= main - 0.5);
    if (found.length === 0) out.push(`no button.main of ${main} px stands in the lower two fifths`);
  }
  return out;
}
