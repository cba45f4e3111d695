/* Keeps one portal for times without a connection: its page and the assets that the page names,
   in one version. It lies at the top of the site, since a worker may only look after addresses
   below its own, and hosts send no header that would widen that. Each portal registers it for
   its own folder, so each has a worker and a store to itself and sees nothing of another.

   The page as it came over the network goes first; the kept one answers when there is no
   connection, when the host has trouble, or when the answer takes too long. A sealed page is kept
   as it is: sealed. The address's end, which holds the key, comes here with the page's address;
   it is cut off before anything is asked for, and is kept nowhere.

   A page asks with postMessage({look: "kept"}) what is kept, or with {look: "host"} whether the
   host has another; the answer is {built, fresh}: the newest page's data-built, and whether it
   took an older one's place while this worker ran. */
"use strict";

const HOME = self.registration.scope;
const PORTAL = HOME.split("/").slice(-2)[0];
const STORE = "plan " + HOME;
const PATIENCE = 3000; // ms until the kept page answers in place of a slow host; no source
const DRILLS = /\sdata-drills="([^"]+)" data-drills-hash="([^"]+)"/;
const ASSET = /\s(?:href|src|data-later(?:-\w+)?)="(\.\.\/assets\/[^"]+\.(?:css|js))"/g;

let ended = false;
let fresh = "";
let turn = Promise.resolve(); // pages are taken one after the other

const kept = (address) => caches.match(address, { cacheName: STORE });
const opening = (text) => (/<html\s[^>]*>/.exec(text) || [""])[0];
const builtOf = (text) => (/\sdata-built="([^"]*)"/.exec(opening(text)) || ["", ""])[1];

function isHome(address) {
  const plain = address.split(/[?#]/)[0];
  return plain === HOME || plain === HOME + "index.html";
}

function ask(address, cache) {
  return fetch(address.split("#")[0], { cache, credentials: "same-origin", redirect: "manual" });
}

async function keep(page, text) {
  const wanted = Array.from(text.split("</head>")[0].matchAll(ASSET), (m) => new URL(m[1], HOME).href);
  const [, drills, integrity] = DRILLS.exec(opening(text)) || [];
  const hashOf = drills ? { [new URL(drills, HOME).href]: integrity } : {};
  wanted.push(...Object.keys(hashOf));
  const store = await caches.open(STORE);
  // Assets first, then the page that needs them, then what it no longer needs away: cut off
  // anywhere, the page that is kept has all that it names.
  for (const address of wanted) {
    if (await store.match(address)) continue;
    // From the browser's own store, as its name changes with its content.
    const got = await fetch(address, { cache: "force-cache", integrity: hashOf[address] || "" });
    if (!got.ok) throw new Error(address);
    await store.put(address, got);
  }
  await store.put(HOME, page);
  for (const { url } of await store.keys())
    if (url !== HOME && !wanted.includes(url)) await store.delete(url);
}

async function end() {
  ended = true;
  await caches.delete(STORE);
  await self.registration.unregister();
}

async function tell(message, to) {
  for (const page of to || (await self.clients.matchAll())) page.postMessage(message);
}

async function take(page) {
  if (ended) return;
  if (page.status === 404 || page.status === 410) return end();
  if (!page.ok) return;
  const text = await page.clone().text();
  const head = opening(text);
  // Some hosts give the front page for whatever they lack.
  if (/\sdata-front\b/.test(head)) return end();
  if (!head.includes(' data-portal="' + PORTAL + '"')) return;
  const old = await kept(HOME);
  const before = old && builtOf(await old.text());
  const built = builtOf(text);
  if (old && before === built) return;
  await keep(page, text);
  if (!old) return;
  fresh = built;
  await tell({ built, fresh: true });
}

function taken(page) {
  turn = turn.then(() => take(page)).catch(() => {}); // what was kept stays
  return turn;
}

async function visit(event) {
  const old = await kept(HOME);
  const asked = ask(event.request.url, "no-cache").then((page) => {
    event.waitUntil(taken(page.clone()));
    return page;
  });
  event.waitUntil(asked.catch(() => {}));
  const late = new Promise((done) => setTimeout(done, PATIENCE));
  try {
    const page = await (old ? Promise.race([asked, late]) : asked);
    // Only the browser's own request can ask for a name and a password.
    if (page && page.status === 401) return fetch(event.request);
    if (page && (page.status < 500 || !old)) return page;
  } catch (error) {
    if (!old) throw error;
  }
  return old;
}

self.addEventListener("install", (event) => {
  const first = async () => {
    const open = await self.clients.matchAll({ includeUncontrolled: true });
    const page = open.find((client) => isHome(client.url));
    // The page has only just been loaded; what the browser still holds of it will do.
    await taken(await ask(page ? page.url : HOME, "force-cache"));
    await self.skipWaiting();
  };
  event.waitUntil(first());
});

self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET") return;
  if (request.mode === "navigate") {
    if (isHome(request.url)) event.respondWith(visit(event));
  } else if (request.url.startsWith(new URL("../assets/", HOME).href)) {
    event.respondWith(kept(request.url).then((asset) => asset || fetch(request)));
  }
});

self.addEventListener("message", (event) => {
  const answer = async () => {
    if (event.data.look === "host") await taken(await ask(event.source.url, "no-cache"));
    await turn;
    const page = await kept(HOME);
    if (!page) return;
    const built = builtOf(await page.text());
    await tell({ built, fresh: built === fresh }, [event.source]);
  };
  event.waitUntil(answer().catch(() => {}));
});
