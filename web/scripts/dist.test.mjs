import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { fill, listed, sha256 } from './dist.mjs';

const worker = readFileSync(new URL('../public/sw.js', import.meta.url), 'utf8');

test('the worker gets its list and a name that follows the list', () => {
  const a = fill(worker, { 'index.html': 'x' });
  expect(a).toContain('const files = {"index.html":"x"};');
  expect(a).not.toMatch(/__[A-Z]+__/);
  expect(a).toContain('const later = [];');
  expect(fill(worker, { 'index.html': 'x' }, ['big'])).toContain('const later = ["big"];');
  const name = (s) => /const build = '(\w+)'/.exec(s)[1];
  expect(name(a)).toBe(name(fill(worker, { 'index.html': 'x' })));
  expect(name(a)).not.toBe(name(fill(worker, { 'index.html': 'y' })));
  expect(() => fill('nothing to fill', {})).toThrow();
});

test('the list has what a page asks for and nothing else', () => {
  const names = ['index.html', 'assets/a-1.js', 'engine.wasm', 'sw.js', '.gitkeep', 'engine.wasm.gz', 'index.html.br', 'assets/a-1.js.map'];
  expect(names.filter(listed)).toEqual(['index.html', 'assets/a-1.js', 'engine.wasm']);
});

test('hashes are those of the standard', () => {
  // FIPS 180-4 example "abc", as NIST prints it.
  expect(sha256('abc')).toBe('ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad');
});

test('the manifest names icons that are there', () => {
  const m = JSON.parse(readFileSync(new URL('../public/manifest.webmanifest', import.meta.url), 'utf8'));
  for (const i of m.icons) {
    const b = readFileSync(new URL(`../public/${i.src}`, import.meta.url));
    if (i.type === 'image/png') expect(`${b.readUInt32BE(16)}x${b.readUInt32BE(20)}`).toBe(i.sizes); // width and height of the IHDR chunk
  }
  expect(m.icons.map((i) => i.purpose)).toContain('maskable');
});
