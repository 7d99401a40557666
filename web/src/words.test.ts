import { afterEach, describe, expect, it } from 'vitest';
import page from '../../docs/words.md?raw';
import go from '../../stage/work/caution.go?raw';
import * as es from './spanish';
import { en, lengthen, speak } from './words';

// Every sentence that the screens say, functions asked with a sample.
function said(x: unknown, out: string[] = []): string[] {
  if (typeof x === 'string') out.push(x);
  else if (typeof x === 'function') {
    for (const a of [[1, 1], [3, 2], ['W1', 'A', 'layout']] as never[][]) {
      try {
        said((x as (...a: never[]) => unknown)(...a), out);
      } catch {
        // asked with the wrong kind of sample
      }
    }
  } else if (x && typeof x === 'object') for (const v of Object.values(x)) said(v, out);
  return out;
}

describe('words of the screens', () => {
  const all = said(en);
  it('none of the words that are not used here', () => {
    const banned = /\b(oops|sorry|please|successful|successfully|invalid|error|submit|sync|syncing|delete|deleted|save|saved|earth electrode|N\/A|are you sure)\b|!/i;
    expect(all.filter((s) => banned.test(s))).toEqual([]);
  });
  it('none of the synonyms that docs/words.md puts in its last column', () => {
    // "not used" is meant of the thing in the same row: a gate of the fence is a gate.
    const own = new Set(['gate']);
    const rows = page.split('\n').filter((l) => l.startsWith('| ')).map((l) => l.split('|').map((c) => c.trim())).filter((c) => c.length === 6 && c[1] !== 'word' && c[4]);
    expect(rows.length).toBeGreaterThan(15);
    const banned = rows.flatMap((c) => c[4]!.split(',').map((w) => w.trim()));
    expect(banned).toContain('pigtail');
    const found = banned.filter((w) => !own.has(w)).flatMap((w) => all.filter((s) => new RegExp(`\\b${w}s?\\b`, 'i').test(s)).map((s) => `${w}: ${s}`));
    expect(found).toEqual([]);
  });
  it('capitals are for ids and HOLD', () => expect(all.filter((s) => /\b[A-Z]{4,}\b/.test(s.replace(/\b(HOLD|XLSX|YAML)\b/g, '')))).toEqual([]));
});

describe('Spanish of the work room', () => {
  it('leaves ids and figures as they are', () => {
    expect(es.spanish("2'-9 15/16\" from post 1, 7'-3 3/8\" from post 14, on the right going from post 1 to post 14")).toBe("2'-9 15/16\" del poste 1, 7'-3 3/8\" del poste 14, a la derecha yendo del poste 1 al poste 14");
    expect(es.spanish('tap, ring to W1')).toBe('derivación, anillo a W1');
    expect(es.spanish('J14')).toBe('J14');
  });
  it('has words for every caution that the engine gives', () => {
    const cautions = [...go.matchAll(/\{[A-Z]\w+, "([^"]*)", "([^"]+)"\}/g)];
    expect(cautions.length).toBeGreaterThan(30);
    const missing = cautions.filter(([, when, text]) => es.spanish(text!) === text || (when && es.spanish(`${when}: ${text}`) === `${when}: ${text}`)).map((m) => m[0]);
    expect(missing).toEqual([]);
  });
});

describe('the words in Spanish', () => {
  afterEach(() => speak(null));
  it('says all that it says otherwise than English does, with the same figures', () => {
    // Names of languages, and words that both write alike.
    const alike = new Set(['English', 'español', en.work.spanishNote]);
    for (const k of Object.keys(es.crew) as (keyof typeof es.crew)[]) {
      const [a, b] = [said(en[k]), said(es.crew[k])];
      expect(b.length, k).toBe(a.length);
      a.forEach((s, i) => {
        if (!alike.has(s)) expect(b[i], `${k}: ${s}`).not.toBe(s);
        expect((b[i]!.match(/\d+|W1/g) ?? []).sort(), `${k}: ${s}`).toEqual((s.match(/\d+|W1/g) ?? []).sort());
      });
    }
  });
  it('takes the place of English and gives it back', () => {
    const was = en.foot.today;
    speak(es);
    expect(en.foot.today).toBe('hoy');
    expect(en.notSent(3)).toBe('3 sin enviar');
    expect(en.layout.add).toBe('add'); // what the crew does not open stays in English
    speak(null);
    expect(en.foot.today).toBe(was);
  });
});

describe('longer words for a test', () => {
  it('are longer by two fifths at least, however they are made', () => {
    const x = lengthen({ a: 'ten letter', b: { c: (n: number) => `${n} broken` } });
    expect(x.a.length).toBeGreaterThanOrEqual(14);
    expect(x.b.c(3)).toMatch(/^3 broken/);
    expect(x.b.c(3).length).toBeGreaterThanOrEqual(12);
  });
});

describe('the content policy of the page', () => {
  it('no markup carries a style of its own', () => {
    const files = Object.entries(import.meta.glob<string>('./**/*.svelte', { query: '?raw', import: 'default', eager: true }));
    expect(files.length).toBeGreaterThan(8);
    for (const [name, text] of files) expect(text, name).not.toMatch(/\sstyle(=|:)|<style/);
  });
});

describe('text in the markup', () => {
  it('comes from the catalogue: no word stands in a .svelte file by itself', () => {
    const files = Object.entries(import.meta.glob<string>('./**/*.svelte', { query: '?raw', import: 'default', eager: true }));
    const found: string[] = [];
    for (const [name, text] of files) {
      // Scripts, comments and what stands in braces are no text of the page.
      let t = text.replace(/<script[\s\S]*?<\/script>/g, '').replace(/<!--[\s\S]*?-->/g, '');
      let deep = 0;
      t = [...t].map((c) => ((deep += c === '{' ? 1 : 0), c === '}' ? (deep--, '\u0001') : deep > 0 ? '\u0001' : c)).join('').replace(/\u0001+/g, '\u0001');
      // Words between tags, then in what a reader says or a field shows.
      for (const m of t.matchAll(/>([^<>]*)</g)) if (/[A-Za-z]{2,}/.test(m[1]!.replace(/&\w+;/g, ''))) found.push(`${name}: ${m[1]!.trim()}`);
      for (const m of t.matchAll(/\s(?:aria-label|title|placeholder|alt)="([^"]*)"/g)) if (/[A-Za-z]{2,}/.test(m[1]!)) found.push(`${name}: ${m[1]}`);
    }
    expect(found).toEqual([]);
    // The net is fine enough to hold one.
    expect(files.length).toBeGreaterThan(15);
  });
});
