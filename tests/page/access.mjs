// What a screen reader is told of the page, by the rules of axe-core (Deque; rules for WCAG 2.2 A and AA), on the start page and over a
// study; and what a browser asks of a page before it offers to install it (W3C, Web Application Manifest, "Installability", and what
// browsers' makers publish: a name, a start address, a display mode, icons of 192 and 512 pixels, and an answer without a network).
// Whoever runs it gives the folder of the page.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { modules, profile, serve, start } from './browser.mjs';
import { Program } from './program.mjs';

const AXE = readFileSync(join(modules, 'node_modules/axe-core/axe.min.js'), 'utf8');
const site = process.argv[2];

/** Rules that say nothing here: words of the tree are drawn on the canvas, and the colours there are the window's own affair. */
const LEFT_OUT = { 'color-contrast': { enabled: false } };

const look = (page) =>
  page.evaluate(async (rules) => {
    const { violations, passes } = await globalThis.axe.run(document, { rules });
    const said = violations.map(({ id, help, nodes }) => `${id}: ${help}: ${nodes.slice(0, 3).map(({ html }) => html).join(' ')}`);
    return { said, passed: passes.length };
  }, LEFT_OUT);

/** Width and height of a PNG (PNG specification, 11.2.1). */
function sizeOf(bytes) {
  return `${bytes.readUInt32BE(16)}x${bytes.readUInt32BE(20)}`;
}

const manifest = JSON.parse(readFileSync(join(site, 'stint.webmanifest'), 'utf8'));
assert.ok(manifest.name && manifest.short_name);
assert.ok(['standalone', 'fullscreen', 'minimal-ui'].includes(manifest.display));
assert.equal(new URL(manifest.start_url, 'https://a.b/c/').href, 'https://a.b/c/');
const pngs = manifest.icons.filter(({ type }) => type === 'image/png');
for (const { src, sizes } of pngs) assert.equal(sizeOf(readFileSync(join(site, src))), sizes, src);
for (const size of ['192x192', '512x512']) assert.ok(pngs.some(({ sizes }) => sizes === size), size);
assert.ok(pngs.some(({ purpose }) => purpose === 'maskable'));

const server = await serve(site);
const kept = profile();
const browser = await start(kept.folder);
try {
  const program = await Program.open(browser, server.address, [], (page) => page.addInitScript({ content: AXE }));
  const { session } = program;
  const { errors } = await session.send('Page.getAppManifest');
  assert.deepEqual(errors, []);
  await program.page.evaluate(() => navigator.serviceWorker.ready);
  const { installabilityErrors } = await session.send('Page.getInstallabilityErrors');
  // A window of a test is one in private, where nothing is installed.
  assert.deepEqual(installabilityErrors.filter(({ errorId }) => errorId !== 'in-incognito'), []);
  const found = [await look(program.page)];
  await program.press('Look at the demo');
  await program.control('Canvas');
  await program.control('quick study · all strokes kept');
  found.push(await look(program.page));
  for (const { said, passed } of found) {
    assert.deepEqual(said, []);
    assert.ok(passed > 10, `${passed} rules passed`);
  }
  console.log(`a screen reader is told what it needs: ${found.map(({ passed }) => passed).join(' and ')} rules pass`);
} finally {
  await browser.kill();
  server.close();
  kept.remove();
}
process.exit(0);
