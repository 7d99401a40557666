// What the device's owner has chosen: the light, gloves, the language, and
// whether a place snaps. Tastes of this device and no work, so that they are
// kept here, where they are read before anything is drawn, and are never sent.
import type * as Spanish from './spanish';
import { langs, speak, themes, type Lang, type Theme } from './words';

export const look = $state<{ theme: Theme; glove: boolean; lang: Lang; snap: boolean }>({ theme: 'day', glove: false, lang: 'en', snap: true });
export const leastStroke = (t: Theme) => (t === 'sun' ? 2.6 : 1.6); // CSS pixels

const keep = (key: string, value: string) => {
  try {
    localStorage.setItem(key, value);
  } catch {
    // a device that keeps nothing begins by day, bare-handed and in English
  }
};
const kept = (key: string) => {
  try {
    return localStorage.getItem(key);
  } catch {
    return null;
  }
};

export function setTheme(t: Theme): void {
  look.theme = t;
  document.documentElement.dataset.theme = t;
  const paper = getComputedStyle(document.documentElement).getPropertyValue('--paper').trim();
  document.querySelector('meta[name="theme-color"]')?.setAttribute('content', paper);
  keep('light', t);
}
export function setGlove(on: boolean): void {
  look.glove = on;
  document.documentElement.toggleAttribute('data-glove', on);
  keep('gloves', on ? 'on' : 'off');
}
// The Spanish words, once they were asked for.
let spanish = $state.raw<typeof Spanish | null>(null);
export const spanishHere = () => spanish;
export const fetchSpanish = async () => (spanish ??= await import('./spanish'));

// setLang speaks a language as soon as its words are here.
export function setLang(l: Lang): void | Promise<void> {
  if (l === 'es' && !spanish) return fetchSpanish().then(() => setLang(l));
  speak(l === 'es' ? spanish : null);
  look.lang = l;
  document.documentElement.lang = l;
  keep('language', l);
}

export function setSnap(on: boolean): void {
  look.snap = on;
  keep('snap', on ? 'on' : 'off');
}

// recall takes up what was chosen before anything is drawn. Where the words of
// the language cannot be had, it is English.
export async function recall(): Promise<void> {
  setTheme(themes.find((t) => t === kept('light')) ?? 'day');
  setGlove(kept('gloves') === 'on');
  look.snap = kept('snap') !== 'off';
  try {
    await setLang(langs.find((l) => l === kept('language')) ?? 'en');
  } catch {
    // what was chosen stays chosen
  }
}

// What was typed into a pocket calculation last, so that it stands there again.
export function keepSum(name: string, typed: Record<string, string>): void {
  keep('sum', name);
  keep(`sum ${name}`, JSON.stringify(typed));
}
export const lastSumName = (): string => kept('sum') ?? '';
export function lastSum(name: string): Record<string, string> | null {
  try {
    const t: unknown = JSON.parse(kept(`sum ${name}`) ?? 'null');
    return t && typeof t === 'object' && Object.values(t).every((v) => typeof v === 'string') ? (t as Record<string, string>) : null;
  } catch {
    return null;
  }
}
