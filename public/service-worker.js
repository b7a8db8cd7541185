// Keeps the whole app on the device, so that it starts and works without a network.
//
// A release is kept or refused as a whole: every file is checked against its digest while the
// previous release goes on working. The page decides when a waiting release takes over; this
// worker never pushes itself in front of a running coat.
//
// Only the very first release of a phone comes in two parts, so that a first start costs little
// and is soon there: the page asks for what comes later once somebody has turned to it.

// The build puts the digest of the release here, and the name and digest of each of its files:
// those of the first start, those that are kept once they are asked for (the texts of another
// language), and those that come later.
const RELEASE = { digest: "", files: [], asked: [], later: [] };

const SCOPE = self.registration.scope;
// Apps under other paths of the same host share the cache storage: the scope tells ours apart.
const OURS = `peelcast ${SCOPE} `;
const CACHE = OURS + RELEASE.digest;

self.addEventListener("install", (event) => event.waitUntil(keepRelease()));
self.addEventListener("activate", (event) => event.waitUntil(begin()));

async function keepRelease() {
  const update = self.registration.active !== null;
  try {
    const cache = await caches.open(CACHE);
    const files = update
      ? [...RELEASE.files, ...RELEASE.later, ...(await inUse())]
      : RELEASE.files;
    await cache.addAll(requests(files));
  } catch (error) {
    await caches.delete(CACHE);
    throw error;
  }
}

// What the release before was asked for.
async function inUse() {
  const kept = await Promise.all(
    RELEASE.asked.map(([name]) => caches.match(new URL(name, SCOPE), { ignoreVary: true })),
  );
  return RELEASE.asked.filter((_, n) => kept[n]);
}

// "no-cache": what the page has just fetched is not sent a second time, but the host is asked
// whether it still holds. What the browser's own cache has of another release fails its digest.
function requests(files) {
  return files.map(
    ([name, integrity]) => new Request(new URL(name, SCOPE), { cache: "no-cache", integrity }),
  );
}

// Fetches what is still missing of the second part, each file by itself: what is there serves
// already, and the next start asks again for what failed. The page is told how it stands.
async function keepRest(page) {
  const cache = await caches.open(CACHE);
  const rest = requests(RELEASE.later);
  const kept = await Promise.all(rest.map((file) => cache.match(file, { ignoreVary: true })));
  const lacking = rest.filter((_, n) => !kept[n]);
  const say = (rest) => page?.postMessage({ kind: "rest", rest });
  if (lacking.length > 0) say("comes");
  const came = await Promise.allSettled(lacking.map((file) => cache.add(file)));
  say(came.every(({ status }) => status === "fulfilled") ? "here" : "lacks");
}

// The very first page of a phone is served from here too from now on: it needs no network any
// more, and the next release waits behind it as behind all others.
async function begin() {
  await dropOldReleases();
  await self.clients.claim();
}

async function dropOldReleases() {
  const names = await caches.keys();
  const old = names.filter((name) => name.startsWith(OURS) && name !== CACHE);
  await Promise.all(old.map((name) => caches.delete(name)));
}

// Where a photo or a job file that another app shares waits for the page (src/phone/handed.rs).
const HANDED = "handed to peelcast";

// The phone hands over by a form, to the address that the manifest names.
async function takeOver(request) {
  const file = (await request.formData()).get("file");
  if (file instanceof File) {
    const headers = { "content-type": file.type, "x-name": encodeURIComponent(file.name) };
    const cache = await caches.open(HANDED);
    await cache.put(new URL("handed", SCOPE), new Response(file, { headers }));
  }
  return Response.redirect(SCOPE + "#/handed", 303);
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method === "POST" && request.url === SCOPE + "hand-over") {
    event.respondWith(takeOver(request));
    return;
  }
  if (request.method !== "GET" || !request.url.startsWith(SCOPE)) return;
  event.respondWith(request.mode === "navigate" ? page(request) : file(request));
});

// Every place in the app is the one page and a part after "#", so any other address is a
// mistyped or outdated one: it leads to the start.
async function page(request) {
  const place = request.url.split(/[?#]/)[0];
  if (place === SCOPE || place === SCOPE + "index.html") return file(new Request(SCOPE));
  const kept = await lookUp(request);
  return kept ?? Response.redirect(SCOPE, 302);
}

async function file(request) {
  const kept = await lookUp(request);
  if (kept) return kept;
  const asked = RELEASE.asked.filter(([name]) => new URL(name, SCOPE).href === request.url);
  if (asked.length === 0) return fetch(request);
  const cache = await caches.open(CACHE);
  await cache.addAll(requests(asked));
  return lookUp(request);
}

async function lookUp(request) {
  const cache = await caches.open(CACHE);
  return cache.match(request, { ignoreVary: true });
}

self.addEventListener("message", (event) => {
  if (event.data?.kind === "take-over") self.skipWaiting();
  if (event.data?.kind === "keep-rest") event.waitUntil(keepRest(event.source));
});

// A tap on a notification leads to the place that it is about; its other button asks the app to say
// it again later, since a worker that waits is ended.
self.addEventListener("notificationclick", (event) => {
  const { title, body, tag, data } = event.notification;
  const hash = data?.hash ?? "";
  event.notification.close();
  event.waitUntil(
    event.action === "again" ? tell({ kind: "again", title, body, tag, hash }) : open(hash),
  );
});

async function tell(message) {
  const client = await ours();
  if (client) client.postMessage(message);
  else await open(message.hash);
}

async function ours() {
  const windows = await self.clients.matchAll({ type: "window", includeUncontrolled: true });
  return windows.find((client) => client.url.startsWith(SCOPE));
}

async function open(hash) {
  const client = await ours();
  if (!client) return self.clients.openWindow(SCOPE + hash);
  client.postMessage({ kind: "open", hash });
  return client.focus();
}
