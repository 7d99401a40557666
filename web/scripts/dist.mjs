// What is done to web/dist after the bundle is made: the engines beside it, the
// list of files for the worker that serves without a signal, and a .gz and a .br
// beside every file that gains by it. sw.js is written last, so that its presence
// says that the whole folder is whole.
import { createHash } from 'node:crypto';
import { copyFileSync, existsSync, readFileSync, readdirSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { brotliCompressSync, gzipSync } from 'node:zlib';

const packed = /\.(js|css|html|svg|webmanifest|json|txt|md|yaml)$/;

// everyFile lists the files below a folder in the order of their names.
export function everyFile(dir, under = '') {
  const out = [];
  for (const e of readdirSync(join(dir, under), { withFileTypes: true }).sort((a, b) => (a.name < b.name ? -1 : 1))) {
    const name = under ? `${under}/${e.name}` : e.name;
    if (e.isDirectory()) out.push(...everyFile(dir, name));
    else out.push(name);
  }
  return out;
}

export const sha256 = (bytes) => createHash('sha256').update(bytes).digest('hex');

// listed says whether the worker keeps a file: all that a page may ask for.
export const listed = (name) => name !== 'sw.js' && !name.startsWith('.') && !name.endsWith('.gz') && !name.endsWith('.br') && !name.endsWith('.map');

// fill writes the list, its hash and what may come later into the text of the
// worker.
export function fill(text, files, later = []) {
  const list = JSON.stringify(files);
  const at = { '__BUILD__': sha256(list).slice(0, 16), '__FILES__': list, '__LATER__': JSON.stringify(later) };
  for (const [mark, value] of Object.entries(at)) {
    if (text.split(mark).length !== 2) throw new Error(`sw.js must hold ${mark} once`);
    text = text.replace(mark, () => value);
  }
  return text;
}

export function dist({ out, engines, later, beside = {} }) {
  let worker;
  return {
    name: 'dist',
    apply: 'build',
    buildStart() {
      worker = readFileSync(new URL('../public/sw.js', import.meta.url), 'utf8');
      // The folder is emptied but for the mark that keeps it in the repository.
      for (const e of readdirSync(out)) if (e !== '.gitkeep') rmSync(join(out, e), { recursive: true });
    },
    closeBundle: {
      order: 'post',
      sequential: true,
      handler(error) {
        if (error) return;
        rmSync(join(out, 'sw.js'), { force: true });
        for (const [name, from] of Object.entries(engines)) {
          if (!existsSync(`${from}.gz`)) throw new Error(`${from}.gz is not there; run make web`);
          copyFileSync(from, join(out, name));
        }
        for (const [name, from] of Object.entries(beside)) copyFileSync(from, join(out, name));
        const files = {};
        for (const name of everyFile(out).filter(listed)) files[name] = sha256(readFileSync(join(out, name)));
        const text = fill(worker, files, later);
        for (const name of Object.keys(files).filter((n) => packed.test(n) && !engines[n])) {
          const raw = readFileSync(join(out, name));
          for (const [end, bytes] of [['.gz', gzipSync(raw, { level: 9 })], ['.br', brotliCompressSync(raw)]]) if (bytes.length < 0.95 * raw.length) writeFileSync(join(out, name + end), bytes);
        }
        // The engines are packed once, when they are built (pack.mjs). They are
        // large and every browser takes gzip: only what is packed is kept.
        for (const [name, from] of Object.entries(engines)) {
          for (const end of ['.gz', '.br']) if (existsSync(from + end)) copyFileSync(from + end, join(out, name + end));
          rmSync(join(out, name));
        }
        writeFileSync(join(out, 'sw.js'), text);
        const size = everyFile(out).reduce((n, f) => n + statSync(join(out, f)).size, 0);
        console.log(`${Object.keys(files).length} files for the worker, ${(size / 1e6).toFixed(1)} MB in ${out} with what is packed`);
      },
    },
  };
}
