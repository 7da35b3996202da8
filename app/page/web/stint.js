// The document's side of Stint: loads the program and the files of this browser, and hands in and out what only a document can:
// files of the device, the clipboard, words for who does not see the canvas.

import init, { Library, confirmed, demo_photo_arrived, mirror_failed, file_arrived, take_batch, text_arrived, text_typed } from './stint_page.js';

/** Length of the program in bytes, set when the folder was made. */
const LENGTH = Number('@LENGTH@') || 0;
/** Largest file that is taken in, bytes; the program has a bound of its own for each kind. */
const LARGEST = 512 * 2 ** 20;

/** Kinds of files that are handed out, by their endings. */
const KINDS = { png: 'image/png', svg: 'image/svg+xml', css: 'text/css', csv: 'text/csv', json: 'application/json', zip: 'application/zip' };

const element = (id) => document.getElementById(id);

function say(text, stopped = false) {
  element('shell').hidden = false;
  element('said').textContent = text;
  element('loaded').hidden = stopped;
  element('again').hidden = !stopped;
}
element('again').onclick = () => location.reload();

/** Waits until this tab alone has the files of this browser, and keeps them until it is closed. */
function alone() {
  return new Promise((go) => {
    const hold = () => {
      go();
      return new Promise(() => {});
    };
    navigator.locks.request('stint', { ifAvailable: true }, (lock) => {
      if (lock) return hold();
      say('Stint is open in another tab or window, and only one at a time may paint on your studies. Close it there, and it opens here.');
      navigator.locks.request('stint', hold);
      return undefined;
    });
  });
}

/** The files of this browser; null with a reason where it keeps none. */
function stored(worker) {
  return new Promise((go) => {
    const files = [];
    worker.onmessage = ({ data }) => {
      if (data.stored) files.push(data);
      if (data.loaded) go({ files, stuck: data.stuck });
      if (data.failed) go({ refused: data.failed });
    };
    worker.onerror = (event) => go({ refused: event.message || 'its worker does not start' });
    worker.postMessage({});
  });
}

/** Loads the program and tells how far it is. */
async function program() {
  const response = await fetch('stint_page_bg.wasm');
  if (!response.ok) throw new Error(`the server answers ${response.status}`);
  let bytes = 0;
  const counted = new TransformStream({
    transform(part, out) {
      bytes += part.byteLength;
      if (LENGTH) {
        element('loaded').value = bytes / LENGTH;
        say(`Loading, ${(bytes / 1e6).toFixed(1)} of ${(LENGTH / 1e6).toFixed(1)} MB`);
      }
      out.enqueue(part);
    },
  });
  const body = response.body.pipeThrough(counted);
  await init({ module_or_path: new Response(body, { headers: { 'Content-Type': 'application/wasm' } }) });
}

/** Batches of changes that the worker was told, and those that it has kept. */
const mirror = { told: 0, done: 0, silent: 0, watch: 0 };

function follow(worker) {
  worker.onmessage = ({ data }) => {
    mirror.silent = 0;
    if (data.failed) mirror_failed(data.failed);
    else if (data.done !== undefined) {
      mirror.done = data.done;
      confirmed(data.done);
    }
  };
  worker.onerror = (event) => mirror_failed(event.message || 'its worker has stopped');
}

/** Notices a worker that is gone without a word. Looks are counted and not seconds: a device that slept has not waited. */
function watch() {
  mirror.watch ||= setInterval(() => {
    if (mirror.done === mirror.told) {
      clearInterval(mirror.watch);
      mirror.watch = mirror.silent = 0;
      return;
    }
    mirror.silent += 1;
    // Longer than a busy device needs for the largest photo; what comes after all is counted as kept again.
    if (mirror.silent === 16) mirror_failed('its worker does not answer');
  }, 2500);
}

async function take(file, chosen) {
  if (!file) return;
  if (file.size > LARGEST) {
    tell(`${file.name} is too large to be a photo or a study.`);
    return;
  }
  try {
    file_arrived(file.name || 'Pasted photo.png', new Uint8Array(await file.arrayBuffer()), chosen);
  } catch (error) {
    tell(typeof error === 'string' ? error : `${file.name} cannot be read (${error.message}).`);
  }
}

/** A sentence over the canvas that is sent away by a press. */
function tell(text) {
  ask(text, ['Close'], () => {});
}

function ask(text, [yes, no], answer) {
  element('question').textContent = text;
  element('yes').textContent = yes;
  element('no').textContent = no || '';
  element('no').hidden = !no;
  element('asking').hidden = false;
  const close = (said) => () => {
    element('asking').hidden = true;
    answer(said);
  };
  element('yes').onclick = close(true);
  element('no').onclick = close(false);
}

/** A study is a database of SQLite, whose first words are these. */
function isStudy(bytes) {
  return new TextDecoder().decode(bytes.subarray(0, 15)) === 'SQLite format 3';
}

/** Asks once, with the reason, that the browser keep what is stored here also when the device runs out of room. */
async function askToPersist() {
  const key = 'asked to persist';
  if (localStorage.getItem(key) || (await navigator.storage.persisted())) return;
  const text =
    'Your studies are kept in this browser alone. It may clear them when the device runs out of room, and some browsers clear pages ' +
    'that were not used for some days, unless they were added to the home screen. May Stint ask the browser to keep them?';
  ask(text, ['Keep my studies', 'Not now'], async (yes) => {
    localStorage.setItem(key, 'yes');
    if (yes && !(await navigator.storage.persist())) {
      tell('The browser does not promise it. Add this page to the home screen, or download studies that matter to you.');
    }
  });
}

function doors(worker) {
  // When the program has given its turn back: whatever it did in it is one batch.
  globalThis.stintChanged = () =>
    queueMicrotask(() => {
      const batch = take_batch();
      if (!batch) return;
      worker.postMessage({ batch }, [batch.buffer]);
      mirror.told += 1;
      watch();
    });
  globalThis.stintChoose = (pictures) => {
    const input = document.createElement('input');
    input.type = 'file';
    if (pictures) input.accept = 'image/*,.heic,.heif,.jxl';
    input.onchange = () => take(input.files[0], true);
    input.click();
  };
  globalThis.stintHandOver = async (name, bytes) => {
    // What is shared needs its kind.
    const file = new File([bytes.slice()], name, { type: KINDS[name.split('.').at(-1)] || '' });
    const shared = { files: [file] };
    if (matchMedia('(pointer: coarse)').matches && navigator.canShare?.(shared)) {
      try {
        await navigator.share(shared);
        return;
      } catch (error) {
        // The painter has thought better of it.
        if (error.name === 'AbortError') return;
      }
    }
    const link = document.createElement('a');
    link.href = URL.createObjectURL(file);
    link.download = name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  };
  globalThis.stintCopy = (text) => navigator.clipboard.writeText(text);
  globalThis.stintEdits = edits;
  globalThis.stintFailed = (why) =>
    say(`Stint has stopped (${why}). Every stroke that it called kept is kept; load the page anew.`, true);
  globalThis.stintControls = controls;
}

/** Whether a field on the canvas is being edited. */
let editing = false;

/** Puts the document's own field, unseen, where text is being edited on the canvas: it has the keyboard meanwhile. */
function edits(on, left, top, width, height) {
  const [field, canvas] = [element('typing'), document.querySelector('canvas')];
  editing = on;
  if (on) {
    const place = canvas.getBoundingClientRect();
    field.style.left = `${place.left + left}px`;
    field.style.top = `${place.top + top}px`;
    field.style.width = `${Math.max(width, 2)}px`;
    field.style.height = `${Math.max(height, 16)}px`;
    if (document.activeElement !== field) field.focus({ preventScroll: true });
  } else if (document.activeElement === field) {
    canvas.focus({ preventScroll: true });
  }
}

/** The canvas, which the program makes a moment after its start. */
async function drawn() {
  for (;;) {
    const canvas = document.querySelector('canvas');
    if (canvas) {
      element('stage').append(canvas);
      return canvas;
    }
    await new Promise((go) => setTimeout(go, 10));
  }
}

/** What is written in the document's own field goes to the canvas: keys as they are, composed text as it becomes. */
function listenToTyping(canvas) {
  const field = element('typing');
  const composes = (event) => event.isComposing || event.keyCode === 229;
  for (const name of ['keydown', 'keyup']) {
    field.addEventListener(name, (event) => {
      if (composes(event)) return;
      const { key, code, location, repeat, ctrlKey, shiftKey, altKey, metaKey } = event;
      canvas.dispatchEvent(new KeyboardEvent(name, { key, code, location, repeat, ctrlKey, shiftKey, altKey, metaKey, cancelable: true }));
      event.preventDefault();
    });
  }
  field.addEventListener('compositionupdate', (event) => text_typed(event.data, false));
  field.addEventListener('compositionend', (event) => {
    text_typed(event.data, true);
    field.value = '';
  });
  field.addEventListener('input', (event) => {
    if (event.isComposing) return;
    if (event.inputType === 'insertText' && event.data) text_typed(event.data, true);
    field.value = '';
  });
  // The keyboard that goes from the canvas to its field has not left the program.
  addEventListener(
    'blur',
    (event) => {
      if (event.target === canvas && event.relatedTarget === field) event.stopImmediatePropagation();
    },
    { capture: true },
  );
  field.addEventListener('blur', ({ relatedTarget }) => relatedTarget !== canvas && canvas.dispatchEvent(new FocusEvent('blur')));
  field.addEventListener('focus', () => canvas.dispatchEvent(new FocusEvent('focus')));
  // A press on the canvas takes the keyboard there.
  canvas.addEventListener('focus', () => editing && field.focus({ preventScroll: true }));
}

const ROLES = {
  Button: 'button',
  Canvas: 'img',
  CheckBox: 'checkbox',
  ComboBox: 'combobox',
  Heading: 'heading',
  Link: 'link',
  ProgressIndicator: 'progressbar',
  RadioButton: 'radio',
  Slider: 'slider',
  TextInput: 'textbox',
};
let lines = '';
let drawing = 0;
let shows;
/** Until the first frame is there. */
const firstFrame = new Promise((go) => (shows = go));

/** Mirrors what is on the canvas, a line a control: role, left, top, right, bottom in pixels, name, and its state. */
function controls(text) {
  shows();
  lines = text;
  drawing ||= setTimeout(drawControls, 100);
}

function drawControls() {
  drawing = 0;
  const all = element('controls');
  const scale = 1 / devicePixelRatio;
  const rows = lines.split('\n').filter(Boolean);
  while (all.children.length > rows.length) all.lastChild.remove();
  rows.forEach((row, at) => {
    const [role, left, top, right, bottom, name, chosen, disabled, value] = row.split('\t');
    const part = all.children[at] || all.appendChild(document.createElement('div'));
    const known = ROLES[role];
    if (known) part.setAttribute('role', known);
    else part.removeAttribute('role');
    if (known) part.setAttribute('aria-label', name);
    else part.removeAttribute('aria-label');
    for (const [attribute, is] of [['aria-checked', chosen], ['aria-disabled', disabled], ['aria-valuetext', value]]) {
      if (known && is) part.setAttribute(attribute, is);
      else part.removeAttribute(attribute);
    }
    if (part.textContent !== name) part.textContent = name;
    part.style.left = `${left * scale}px`;
    part.style.top = `${top * scale}px`;
    part.style.width = `${(right - left) * scale}px`;
    part.style.height = `${(bottom - top) * scale}px`;
    part.onclick = () => press(part);
  });
}

/** Presses what lies under a mirrored control: a screen reader has no pointer. */
function press(part) {
  const canvas = document.querySelector('canvas');
  const { left, top, width, height } = part.getBoundingClientRect();
  const at = { clientX: left + width / 2, clientY: top + height / 2, bubbles: true, cancelable: true };
  const how = { ...at, pointerId: 1, pointerType: 'mouse', isPrimary: true };
  canvas.dispatchEvent(new PointerEvent('pointermove', how));
  canvas.dispatchEvent(new PointerEvent('pointerdown', { ...how, button: 0, buttons: 1 }));
  canvas.dispatchEvent(new PointerEvent('pointerup', { ...how, button: 0 }));
}

/** The photo of the demo, which is not part of the program. */
async function bringDemo() {
  try {
    const response = await fetch('demo.jpg');
    if (!response.ok) throw new Error(`the server answers ${response.status}`);
    demo_photo_arrived(new Uint8Array(await response.arrayBuffer()), '');
  } catch (error) {
    demo_photo_arrived(undefined, error.message);
  }
}

function listen() {
  // The canvas takes every key for itself; what pastes has to come through.
  addEventListener(
    'keydown',
    (event) => {
      if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === 'v') event.stopImmediatePropagation();
    },
    { capture: true },
  );
  addEventListener('paste', (event) => {
    const file = event.clipboardData.files[0];
    if (file) take(file, false);
    else text_arrived(event.clipboardData.getData('text/plain'));
    event.preventDefault();
  });
  addEventListener('dragover', (event) => event.preventDefault());
  addEventListener('drop', (event) => {
    event.preventDefault();
    take(event.dataTransfer.files[0], false);
  });
  addEventListener('contextmenu', (event) => event.preventDefault());
  for (const zoom of ['gesturestart', 'gesturechange', 'gestureend']) {
    addEventListener(zoom, (event) => event.preventDefault());
  }
}

// Whether there is something to draw with; the program looks for the same, in this order.
async function draws() {
  if (await navigator.gpu?.requestAdapter()) return true;
  const context = document.createElement('canvas').getContext('webgl2');
  // Browsers keep few of them.
  context?.getExtension('WEBGL_lose_context')?.loseContext();
  return context !== null;
}

async function start() {
  if (!isSecureContext) {
    say('Stint keeps studies in the browser, which it allows over HTTPS alone: open this page with an address that begins with https.', true);
    return;
  }
  if (!(await draws())) {
    say(
      'This browser finds no graphics device for WebGPU or WebGL 2, one of which Stint draws with: use a newer browser, or allow graphics ' +
        'acceleration in its settings.',
      true,
    );
    return;
  }
  const worker = new Worker('mirror.js');
  await alone();
  const [found] = await Promise.all([stored(worker), program()]);
  // Now that the browser has the program it is not fetched a second time for when there is no network.
  navigator.serviceWorker?.register('offline.js').catch(() => {});
  doors(worker);
  listen();
  follow(worker);
  const library = new Library();
  for (const file of found.files || []) library.add(file.stored, file.bytes, file.modified);
  library.start();
  listenToTyping(await drawn());
  await firstFrame;
  element('shell').hidden = true;
  performance.mark('usable');
  bringDemo();
  if (found.refused) {
    mirror_failed(found.refused);
    tell(
      `This browser keeps nothing for this page (${found.refused}); in a private window that is usual. You can paint, but download the ` +
        'study before you close the page: it is gone then.',
    );
  } else if (found.stuck) {
    mirror_failed(found.stuck);
  } else if (found.files.some(({ bytes }) => isStudy(bytes))) {
    await askToPersist();
  }
}

start().catch((error) => say(`Stint cannot start (${error.message || error}). Load the page anew.`, true));
