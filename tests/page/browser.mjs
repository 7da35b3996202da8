// A real Chromium over a folder of files: started with a profile of its own, killed when a test says so.

import { spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { createServer } from 'node:http';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { extname, join, normalize } from 'node:path';

// Where app/page/toolchain puts it, or wherever else it was installed.
export const modules = process.env.STINT_PAGE_MODULES || new URL('../../target/page-toolchain/npm', import.meta.url).pathname;
const { chromium } = createRequire(join(modules, 'here.js'))('playwright-core');

const PROGRAM = process.env.STINT_CHROMIUM || '/usr/bin/chromium';
// WebGPU in software that also shows in screenshots; no service of the browser's makers.
const FLAGS =
  '--headless --no-sandbox --disable-quic --no-first-run --disable-background-networking --disable-component-update --disable-sync ' +
  '--enable-unsafe-webgpu --enable-features=Vulkan --use-vulkan=swiftshader --use-angle=vulkan --remote-debugging-port=0 ' +
  '--hide-scrollbars --window-size=1180,820';
/** Further words for a browser that offers WebGL 2 in software too. */
export const WEBGL = ['--use-angle=swiftshader', '--enable-unsafe-swiftshader'];
const TYPES = {
  '.html': 'text/html',
  '.js': 'text/javascript',
  '.css': 'text/css',
  '.wasm': 'application/wasm',
  '.png': 'image/png',
  '.jpg': 'image/jpeg',
  '.svg': 'image/svg+xml',
  '.webmanifest': 'application/manifest+json',
};

/** Hands out a folder on this machine, as servers do: a file that the browser has already is not sent again (RFC 9110, 13.1.2). `extra`
 * are further files by name; `sent` are the files that were sent, one after the other. */
export async function serve(folder, extra = {}) {
  const sent = [];
  const server = createServer((request, answer) => {
    const path = normalize(new URL(request.url, 'http://x').pathname);
    const name = path.endsWith('/') ? `${path}index.html` : path;
    const file = join(folder, name);
    const inline = extra[name.slice(1)];
    if (inline === undefined && !existsSync(file)) {
      answer.writeHead(404).end();
      return;
    }
    const body = inline ?? readFileSync(file);
    const ETag = `"${createHash('sha256').update(body).digest('hex').slice(0, 16)}"`;
    if (request.headers['if-none-match'] === ETag) {
      answer.writeHead(304, { ETag }).end();
      return;
    }
    sent.push(name);
    answer.writeHead(200, { ETag, 'Cache-Control': 'no-cache', 'Content-Type': TYPES[extname(name)] || 'application/octet-stream' });
    answer.end(body);
  });
  await new Promise((ready) => server.listen(0, '127.0.0.1', ready));
  return { address: `http://127.0.0.1:${server.address().port}/`, sent, close: () => server.close() };
}

/** A profile that a browser can be killed on and started again. */
export function profile() {
  const folder = mkdtempSync(join(tmpdir(), 'stint-page-'));
  return { folder, remove: () => rmSync(folder, { recursive: true, force: true, maxRetries: 5 }) };
}

/** Starts the browser on a profile. */
export async function start(folder, flags = []) {
  rmSync(join(folder, 'DevToolsActivePort'), { force: true });
  const child = spawn(PROGRAM, [...FLAGS.split(' '), ...flags, `--user-data-dir=${folder}`, 'about:blank'], {
    detached: true,
    stdio: ['ignore', 'ignore', 'pipe'],
  });
  // Its words are told when it does not start.
  let words = '';
  child.stderr.on('data', (part) => (words = (words + part).slice(-4000)));
  const port = await new Promise((found, lost) => {
    const since = Date.now();
    const look = () => {
      const file = join(folder, 'DevToolsActivePort');
      const text = existsSync(file) ? readFileSync(file, 'utf8').split('\n') : [];
      if (text.length > 1) found(text[0]);
      else if (child.exitCode !== null || Date.now() - since > 120000) lost(new Error(`Chromium does not start: ${words}`));
      else setTimeout(look, 50);
    };
    look();
  });
  const browser = await chromium.connectOverCDP(`http://127.0.0.1:${port}`, { isLocal: true });
  const gone = new Promise((done) => child.on('exit', done));
  const end = async (signal) => {
    try {
      process.kill(-child.pid, signal);
    } catch {
      // It is gone already.
    }
    await gone;
    await browser.close().catch(() => {});
  };
  return {
    browser,
    context: browser.contexts()[0],
    /** Ends every process of the browser at this moment. */
    kill: () => end('SIGKILL'),
    close: async () => {
      // In good order, so that what it has not yet written is written.
      const session = await browser.newBrowserCDPSession();
      await session.send('Browser.close').catch(() => {});
      await gone;
    },
  };
}

/** Numbers that look random and are the same for a seed. */
export function numbers(seed) {
  let state = seed >>> 0;
  return (below) => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return (state >>> 8) % below;
  };
}
