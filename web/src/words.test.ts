import { describe, expect, it } from 'vitest';
import go from '../../stage/work/caution.go?raw';
import { en, spanish } from './words';

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
  it('capitals are for ids and HOLD', () => expect(all.filter((s) => /\b[A-Z]{4,}\b/.test(s.replace(/\b(HOLD|XLSX|YAML)\b/g, '')))).toEqual([]));
});

describe('Spanish of the work room', () => {
  it('leaves ids and figures as they are', () => {
    expect(spanish("2'-9 15/16\" from post 1, 7'-3 3/8\" from post 14, on the right going from post 1 to post 14")).toBe("2'-9 15/16\" del poste 1, 7'-3 3/8\" del poste 14, a la derecha yendo del poste 1 al poste 14");
    expect(spanish('tap, ring to W1')).toBe('derivación, anillo a W1');
    expect(spanish('J14')).toBe('J14');
  });
  it('has words for every caution that the engine gives', () => {
    const cautions = [...go.matchAll(/\{[A-Z]\w+, "([^"]*)", "([^"]+)"\}/g)];
    expect(cautions.length).toBeGreaterThan(30);
    const missing = cautions.filter(([, when, text]) => spanish(text!) === text || (when && spanish(`${when}: ${text}`) === `${when}: ${text}`)).map((m) => m[0]);
    expect(missing).toEqual([]);
  });
});

describe('the content policy of the page', () => {
  it('no markup carries a style of its own', () => {
    const files = Object.entries(import.meta.glob<string>('./**/*.svelte', { query: '?raw', import: 'default', eager: true }));
    expect(files.length).toBeGreaterThan(8);
    for (const [name, text] of files) expect(text, name).not.toMatch(/\sstyle(=|:)|<style/);
  });
});
