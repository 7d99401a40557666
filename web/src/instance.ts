// instance fetches and starts a file of the engine. Where told is given it hears
// how many bytes of it are here.
export async function instance(url: string, imports: WebAssembly.Imports, told?: (bytes: number) => void): Promise<WebAssembly.Instance> {
  let r = await fetch(url);
  if (!r.ok) throw new Error(`${new URL(url).pathname.split('/').pop()} could not be fetched (${r.status})`);
  if (r.headers.get('Content-Type')?.startsWith('application/wasm')) {
    if (told && r.body) r = new Response(r.body.pipeThrough(counter(told)), { headers: { 'Content-Type': 'application/wasm' } });
    return (await WebAssembly.instantiateStreaming(r, imports)).instance;
  }
  return (await WebAssembly.instantiate(await r.arrayBuffer(), imports)).instance;
}

function counter(told: (bytes: number) => void) {
  let bytes = 0;
  return new TransformStream<Uint8Array<ArrayBuffer>, Uint8Array<ArrayBuffer>>({
    transform(chunk, out) {
      told((bytes += chunk.byteLength));
      out.enqueue(chunk);
    },
  });
}
