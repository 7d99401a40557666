// Packs the engine for the wire: engine.wasm.gz by zopfli, which finds 4 %
// that zlib leaves, and engine.wasm.br by brotli, which browsers ask for on
// this device and over TLS. "quick" packs with zlib alone, for a change that is
// only being tried.
import { spawn } from 'node:child_process';
import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { brotliCompressSync, constants, gzipSync } from 'node:zlib';
import zopfli from '@gfx/zopfli';

const [name, how] = process.argv.slice(2);
const br = (raw) => brotliCompressSync(raw, { params: { [constants.BROTLI_PARAM_QUALITY]: 11, [constants.BROTLI_PARAM_LGWIN]: 24, [constants.BROTLI_PARAM_SIZE_HINT]: raw.length } });

if (how === 'gz') {
  zopfli.gzip(readFileSync(name), { numiterations: 4, blocksplitting: true, blocksplittinglast: false, blocksplittingmax: 60 }, (fault, out) => {
    if (fault) throw fault;
    writeFileSync(`${name}.gz`, out);
  });
} else if (how === 'br') {
  writeFileSync(`${name}.br`, br(readFileSync(name)));
} else if (how === 'quick') {
  rmSync(`${name}.br`, { force: true });
  writeFileSync(`${name}.gz`, gzipSync(readFileSync(name), { level: 9 }));
} else {
  const me = fileURLToPath(import.meta.url);
  const ends = ['br', 'gz'].map((h) => new Promise((done) => spawn(process.execPath, [me, name, h], { stdio: 'inherit' }).on('exit', done)));
  if ((await Promise.all(ends)).some((code) => code !== 0)) process.exit(1);
}
