// spilled lists what is wider than the page, what is cut off, and labels that
// lie over one another. It runs in the page.
export function spilled() {
  const out = [];
  const wide = document.documentElement.clientWidth;
  if (document.documentElement.scrollWidth > wide + 1) out.push(`the page scrolls sideways: ${document.documentElement.scrollWidth} in ${wide}`);
  const modal = document.querySelector('dialog[open]');
  const seen = (e) => e.checkVisibility({ checkVisibilityCSS: true, checkOpacity: true }) && !e.closest('.hidden, .skip, dialog:not([open])') && (!modal || modal.contains(e));
  const name = (e) => `${e.tagName.toLowerCase()}.${e.getAttribute('class') ?? ''} "${(e.textContent || '').trim().slice(0, 24)}"`;
  // What may only be scrolled down never needs to be scrolled aside.
  for (const e of document.querySelectorAll('.page, .spread, .margin, .tables, .aside, .choices, dialog[open], main.list, .head, .foot, .sides, .tools, .bar, .views'))
    if (seen(e) && !e.matches('.views, .with-run .tools') && e.scrollWidth > e.clientWidth + 2) out.push(`${name(e)} scrolls sideways: ${e.scrollWidth} in ${e.clientWidth}`);
  // Boxes that cut what they hold.
  for (const e of document.querySelectorAll('body *')) {
    if (e.closest('svg') || !seen(e) || !e.textContent.trim()) continue;
    const s = getComputedStyle(e);
    // A head that is only heard, and what scrolls, cut nothing.
    if (s.display === 'inline' || s.clipPath !== 'none' || e.matches('.area, .corners, .view, .spread, .book, .page.sheet')) continue;
    const cuts = /hidden|clip/.test(s.overflowX);
    const cutsDown = /hidden|clip/.test(s.overflowY);
    const pressed = e.matches('button, .tab, .home, summary, h1, .press, select');
    if ((cuts || pressed) && e.scrollWidth > e.clientWidth + 2) out.push(`${name(e)} holds ${e.scrollWidth} in ${e.clientWidth}`);
    if ((cutsDown || pressed) && e.scrollHeight > e.clientHeight + 3) out.push(`${name(e)} holds ${e.scrollHeight} in a height of ${e.clientHeight}`);
  }
  // A bar shows the whole height of what is in it.
  for (const e of document.querySelectorAll('.views, .tools, .sides, .foot, .act, .head')) if (seen(e) && e.scrollHeight > e.clientHeight + 3) out.push(`${name(e)} holds ${e.scrollHeight} in a height of ${e.clientHeight}`);
  for (const e of document.querySelectorAll('select')) if (seen(e) && e.clientWidth < 5 * parseFloat(getComputedStyle(e).fontSize)) out.push(`${name(e)} is ${e.clientWidth} px wide`);
  // Every word that stands in sight: where it is, and what scrolls it.
  const words = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const t = walk.currentNode;
    const e = t.parentElement;
    if (!t.data.trim() || e.closest('svg, option, textarea, script, noscript') || !seen(e)) continue;
    // The window that the text is seen through.
    let [l, tp, r, b] = [0, 0, innerWidth, innerHeight];
    let over = null;
    for (let p = e; p && p !== document.documentElement; p = p.parentElement) {
      const s = getComputedStyle(p);
      if (p !== e || s.display !== 'inline')
        if (s.overflowX !== 'visible' || s.overflowY !== 'visible') {
          const q = p.getBoundingClientRect();
          [l, tp, r, b] = [Math.max(l, q.left), Math.max(tp, q.top), Math.min(r, q.right), Math.min(b, q.bottom)];
        }
      if (!over && /absolute|fixed|sticky/.test(s.position)) over = p;
    }
    const range = document.createRange();
    range.selectNodeContents(t);
    // No word is torn apart that has the room it needs.
    if (e.closest('button, h1, h2, h3, h4, label, b, .tab, .press, figcaption, p'))
      for (const m of t.data.matchAll(/[\p{L}]{2,16}/gu)) {
        const r = document.createRange();
        r.setStart(t, m.index);
        r.setEnd(t, m.index + m[0].length);
        const parts = [...r.getClientRects()].filter((q) => q.width > 0.5);
        if (new Set(parts.map((q) => Math.round(q.top))).size > 1 && parts.reduce((n, q) => n + q.width, 0) < 0.6 * wide) out.push(`${name(e)} tears "${m[0]}"`);
      }
    for (const q of range.getClientRects()) {
      if (q.width < 1) continue;
      if (q.right > wide + 1 || q.left < -1) if (!e.closest('.scroll, .views, .tools')) out.push(`${name(e)} reaches from ${Math.round(q.left)} to ${Math.round(q.right)} of ${wide}`);
      const c = [Math.max(q.left, l), Math.max(q.top, tp), Math.min(q.right, r), Math.min(q.bottom, b)];
      if (c[2] - c[0] < 2 || c[3] - c[1] < 2) continue;
      words.push({ e, over, c });
    }
  }
  // Nothing lies under what was not opened over it.
  const lists = '.choices, .arrows, .costs, .typed-corner, .at-corner, .plan, dialog, .over';
  for (const { e, c } of words) {
    const hit = document.elementFromPoint((c[0] + c[2]) / 2, (c[1] + c[3]) / 2);
    if (hit && !e.contains(hit) && !hit.contains(e) && !hit.closest(lists)) out.push(`${name(e)} lies under ${name(hit)}`);
  }
  words.sort((a, b) => a.c[1] - b.c[1]);
  for (let i = 0; i < words.length; i++)
    for (let k = i + 1; k < words.length && words[k].c[1] < words[i].c[3]; k++) {
      const [a, b] = [words[i], words[k]];
      if (a.e === b.e || a.over !== b.over) continue;
      // Lines are set closer than a face is high: a third of a line may meet.
      const w = Math.min(a.c[2], b.c[2]) - Math.max(a.c[0], b.c[0]);
      const h = Math.min(a.c[3], b.c[3]) - Math.max(a.c[1], b.c[1]);
      if (w > 2 && h > 0.4 * Math.min(a.c[3] - a.c[1], b.c[3] - b.c[1])) out.push(`${name(a.e)} lies over ${name(b.e)}`);
    }
  // Targets of one group that lie over one another.
  const boxes = [...document.querySelectorAll('button, .tab, .home, summary, .press, input, select')].filter((e) => seen(e) && !e.matches('.corner-at')).map((e) => [e, e.getBoundingClientRect()]);
  const inside = (x) => x.closest('.choices, dialog, .arrows, .aside, .typed-corner, .page, .spread, .margin, .foot, .sides, .act, .head, main.list');
  for (let i = 0; i < boxes.length; i++)
    for (let k = i + 1; k < boxes.length; k++) {
      const [[a, p], [c, q]] = [boxes[i], boxes[k]];
      if (a.contains(c) || c.contains(a) || inside(a) !== inside(c)) continue;
      if (Math.min(p.right, q.right) - Math.max(p.left, q.left) > 2 && Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top) > 2) out.push(`${name(a)} lies over ${name(c)}`);
    }
  // The bars leave the room that is worked in its share of the screen.
  const area = document.querySelector('.page.sheet > .plan .area');
  if (area && seen(area) && area.clientHeight < 110) out.push(`the sketch is ${area.clientHeight} px high`);
  return [...new Set(out)];
}
