// Every shader of the engine and of the window compiles in the browser, whose grammar is stricter than what compiles them elsewhere.

import assert from 'node:assert/strict';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { profile, serve, start } from './browser.mjs';

const root = new URL('../../', import.meta.url).pathname;
const text = (name) => readFileSync(join(root, 'shaders', name), 'utf8');

/** The texts as the program joins them, by the table in its source. */
function kernels() {
  const source = readFileSync(join(root, 'render/src/gpu/source.rs'), 'utf8');
  const parts = new Map([...source.matchAll(/^const (\w+): &str = shader!\("(.*)"\);$/gm)].map(([, name, file]) => [name, text(file)]));
  const shared = ['AMOUNT', 'TILE', 'PARAMS'].map((name) => parts.get(name));
  const joined = (names, file) => [...names.map((name) => parts.get(name) ?? assert.fail(`no part ${name}`)), text(file)].join('');
  const all = [...source.matchAll(/^ {4}\w+: "(\w+)", \[([A-Z_, ]*)\], Planes::/gm)].map(([, name, list]) => {
    const names = list.split(',').map((part) => part.trim()).filter(Boolean);
    return { name, entry: name, code: [...shared, joined(names, `${name}.wgsl`)].join('') };
  });
  all.push({ name: 'show', entry: null, code: joined(['SRGB'], 'show.wgsl') });
  all.push({ name: 'display', entry: null, code: joined([], 'display.wgsl') });
  const files = readdirSync(join(root, 'shaders')).filter((file) => file.endsWith('.wgsl'));
  assert.deepEqual(all.map(({ name }) => `${name}.wgsl`).sort(), files.sort(), 'every shader is in the table');
  return all;
}

/** The browser's part: what it says to each. */
const COMPILE = async (all) => {
  const adapter = await navigator.gpu.requestAdapter();
  const { maxStorageBuffersPerShaderStage, maxStorageBufferBindingSize } = adapter.limits;
  const device = await adapter.requestDevice({ requiredLimits: { maxStorageBuffersPerShaderStage, maxStorageBufferBindingSize } });
  const said = {};
  for (const { name, entry, code } of all) {
    device.pushErrorScope('validation');
    const module = device.createShaderModule({ code });
    const { messages } = await module.getCompilationInfo();
    said[name] = messages.filter(({ type }) => type === 'error').map(({ lineNum, message }) => `${lineNum}: ${message}`);
    if (entry && !said[name].length) {
      const made = device.createComputePipelineAsync({ layout: 'auto', compute: { module, entryPoint: entry } });
      await made.catch((error) => said[name].push(error.message));
    }
    const error = await device.popErrorScope();
    if (error && !said[name].length) said[name].push(error.message);
  }
  return said;
};

const all = kernels();
const server = await serve(root, { 'blank.html': '<!doctype html><title>blank</title>' });
const kept = profile();
const browser = await start(kept.folder);
try {
  const page = await browser.context.newPage();
  await page.goto(`${server.address}blank.html`);
  const compile = (shaders) => page.evaluate(COMPILE, shaders);
  const said = await compile(all);
  assert.deepEqual(said, Object.fromEntries(all.map(({ name }) => [name, []])));
  // It can fail: operators mixed as the grammar forbids.
  const wrong = { name: 'wrong', entry: null, code: 'fn f(a: u32) -> u32 { return a & 3u << 2u; }' };
  assert.equal((await compile([wrong])).wrong.length, 1);
  console.log(`${all.length} shaders compile in the browser`);
} finally {
  await browser.kill();
  server.close();
  kept.remove();
}
process.exit(0);
