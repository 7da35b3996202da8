// Keeps the files of this folder, so that the page opens without a network after the first visit. The list and its mark are set
// when the folder is made: a new program has a new mark, and takes the place of the old one when no tab shows that any more.

const KEPT = 'stint @MARK@';
const FILES = '@FILES@'.trim().split(' ');

addEventListener('install', (event) => {
  event.waitUntil(caches.open(KEPT).then((kept) => kept.addAll(FILES.map((file) => new Request(file, { cache: 'no-cache' })))));
});

addEventListener('activate', (event) => {
  const old = async () => {
    for (const name of await caches.keys()) {
      if (name.startsWith('stint ') && name !== KEPT) await caches.delete(name);
    }
    await clients.claim();
  };
  event.waitUntil(old());
});

addEventListener('fetch', (event) => {
  if (event.request.method !== 'GET') return;
  const answer = async () => {
    const kept = await caches.open(KEPT);
    return (await kept.match(event.request, { ignoreSearch: true })) || fetch(event.request);
  };
  event.respondWith(answer());
});
