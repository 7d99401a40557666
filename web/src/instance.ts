// instance fetches and starts a file of the engine.
export async function instance(url: string, imports: WebAssembly.Imports): Promise<WebAssembly.Instance> {
  const r = await fetch(url);
  if (!r.ok) throw new Error(`${new URL(url).pathname.split('/').pop()} could not be fetched (${r.status})`);
  if (r.headers.get('Content-Type')?.startsWith('application/wasm')) {
    return (await WebAssembly.instantiateStreaming(r, imports)).instance;
  }
  return (await WebAssembly.instantiate(await r.arrayBuffer(), imports)).instance;
}
