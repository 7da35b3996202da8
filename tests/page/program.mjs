// The program on the page, driven as a painter drives it: controls are found by the names that a screen reader is told, and touched
// with a finger; the canvas is painted on with a pen. All events are the browser's own, as from a device.

import assert from 'node:assert/strict';

/** Longest wait for anything, milliseconds: a software GPU on a busy machine is slow. */
const PATIENCE = Number(process.env.PATIENCE) || 180000;

/** Says what the program shows, in the document's tree: name, role, place in the document's pixels. */
const SHOWN = () =>
  [...document.querySelectorAll('#controls > *')].map((part) => {
    const { left, top, right, bottom } = part.getBoundingClientRect();
    const chosen = part.getAttribute('aria-checked') === 'true';
    const value = part.getAttribute('aria-valuetext') || '';
    return { name: part.textContent, role: part.getAttribute('role') || 'text', chosen, value, left, top, right, bottom };
  });

export class Program {
  /** Opens the page and waits until the program is there. Faults of the page's script are gathered in `faults`; `before` is done
   * before the page is loaded. */
  static async open(browser, address, faults = [], before = async () => {}) {
    const page = await browser.context.newPage();
    await before(page);
    page.on('console', (line) => line.type() === 'error' && faults.push(line.text()));
    page.on('pageerror', (error) => faults.push(error.message));
    await page.goto(address);
    const program = new Program(page, await browser.context.newCDPSession(page), faults);
    await program.ready();
    return program;
  }

  constructor(page, session, faults) {
    Object.assign(this, { page, session, faults });
  }

  async ready() {
    await this.until(async () => {
      const [shell, said, stopped] = await this.page.evaluate(() => [
        document.getElementById('shell').hidden,
        document.getElementById('said').textContent,
        !document.getElementById('again').hidden,
      ]);
      assert.ok(!stopped, `the program has stopped: ${said} ${this.faults.join('; ')}`);
      return shell && (await this.shown()).length > 0;
    }, 'the program');
  }

  /** Waits until something is so and gives it back. */
  async until(look, what) {
    const since = Date.now();
    for (;;) {
      const found = await look();
      if (found) return found;
      if (Date.now() - since > PATIENCE) {
        const names = (await this.shown()).map(({ role, name }) => `${role} ${name}`);
        throw new Error(`waited for ${what} in vain; shown were:\n${names.join('\n')}\n${this.faults.join('\n')}`);
      }
      await new Promise((go) => setTimeout(go, 60));
    }
  }

  shown() {
    return this.page.evaluate(SHOWN);
  }

  /** The first control of a name, or whose name fits a pattern. */
  control(name, role) {
    const fits = (control) =>
      (typeof name === 'string' ? control.name === name : name.test(control.name)) && (!role || control.role === role);
    return this.until(async () => (await this.shown()).find(fits), `${role || 'a control'} named ${name}`);
  }

  /** Whether it is there now. */
  async has(name) {
    return (await this.shown()).some((control) => (typeof name === 'string' ? control.name === name : name.test(control.name)));
  }

  /** Touches a control with a finger. */
  async press(name, role) {
    const { left, top, right, bottom } = await this.settled(name, role);
    await this.touch((left + right) / 2, (top + bottom) / 2);
    // What the press does is done in a frame; whatever comes next comes behind it, as with any hand.
    await this.page.evaluate(async () => {
      for (let frame = 0; frame < 3; frame += 1) await new Promise((go) => requestAnimationFrame(go));
    });
  }

  /** Touches a choice, and waits until it is chosen. */
  async choose(name) {
    await this.press(name, 'radio');
    await this.until(async () => (await this.shown()).some((one) => one.name === name && one.chosen), `${name} to be chosen`);
  }

  /** A control once it stands still. */
  async settled(name, role) {
    let before;
    return this.until(async () => {
      const now = await this.control(name, role);
      const still = before && JSON.stringify(before) === JSON.stringify(now);
      before = now;
      if (!still) await new Promise((go) => setTimeout(go, 150));
      else if (await this.scrolled(now)) return false;
      return still && now;
    }, `${name} to stand still`);
  }

  /** Scrolls towards a control that lies below the edge of the window; whether it did. */
  async scrolled({ left, right, bottom }) {
    const { height } = await this.page.evaluate(() => ({ height: innerHeight }));
    if (bottom <= height) return false;
    await this.page.mouse.move((left + right) / 2, height / 2);
    await this.page.mouse.wheel(0, bottom - height + 40);
    return true;
  }

  /** Touches a field, and waits until it is being edited. */
  async edit(name) {
    await this.press(name);
    await this.until(() => this.page.evaluate(() => document.activeElement.id === 'typing'), `${name} to be edited`);
  }

  async touch(x, y) {
    // In one go: on a busy machine a tap whose ends fall into two slow frames would be a long one.
    const down = this.session.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: [{ x, y, id: 1 }] });
    await this.session.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
    await down;
  }

  /** An event of fingers that touch: those that are there now, each `{ id, x, y }`. */
  fingers(type, touchPoints = []) {
    return this.session.send('Input.dispatchTouchEvent', { type, touchPoints });
  }

  /** One event of a pen. */
  pen(type, { x, y, force = 0, tiltX = 0, tiltY = 0, twist = 0, pressed = true }) {
    const button = type === 'mouseMoved' ? 'none' : 'left';
    const buttons = pressed && type !== 'mouseReleased' ? 1 : 0;
    return this.session.send('Input.dispatchMouseEvent', {
      type, x, y, force, tiltX, tiltY, twist, button, buttons, clickCount: 1, pointerType: 'pen',
    });
  }

  /** Tells where something is: a place on the canvas as the window shows it, 0 to 1 across and down, in the document's pixels. */
  async places() {
    const { left, top, right, bottom } = await this.control('Canvas');
    return (across, down) => ({ x: left + across * (right - left), y: top + down * (bottom - top) });
  }

  /** A stroke of a pen through points of the canvas, each 0 to 1 across and down, with its pressure. */
  async stroke(points) {
    const place = await this.places();
    const at = ([across, down, force]) => ({ ...place(across, down), force, tiltX: 25, tiltY: -10, twist: 40 });
    await this.pen('mouseMoved', { ...at(points[0]), force: 0, pressed: false });
    await this.pen('mousePressed', at(points[0]));
    for (const point of points.slice(1)) await this.pen('mouseMoved', at(point));
    await this.pen('mouseReleased', { ...at(points.at(-1)), force: 0 });
  }

  /** Presses a key, or types text where a field is being edited. */
  key(name) {
    return this.page.keyboard.press(name);
  }

  /** A file that the program hands over while something is done. */
  async handed(what) {
    const [file] = await Promise.all([this.page.waitForEvent('download', { timeout: PATIENCE }), what()]);
    return { name: file.suggestedFilename(), path: await file.path() };
  }

  /** Chooses a file of the device while something is done. */
  async give(file, what) {
    const [chooser] = await Promise.all([this.page.waitForEvent('filechooser', { timeout: PATIENCE }), what()]);
    await chooser.setFiles(file);
  }

  async close() {
    await this.page.close();
  }
}
