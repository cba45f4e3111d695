/* The page's script: which view is shown, what is kept, what the buttons do. Classic and
   deferred, since a page opened from disk may not load modules. Runs last of all scripts.

   For the scripts of single views
   -------------------------------
   A view is templates/view-NAME.html; it stands in <section class="view" id="NAME">, whose h1
   the document writes. A view's script may define window.initBeat(root) or
   window.initCheckin(root); it is called once, with the view's section, after the document is in
   the page. Links to another view are written <a href="#NAME"> or <a href="#NAME/ID">, the
   latter for the element with the id "NAME-ID"; the link's key is added to them here.

   window.portal
     id           the portal's id; keep things in localStorage under "portal.ID." + a name,
                  so that "Forget on this device" finds them
     data         what stands in <script type="application/json" id="portal-data">, see below
     today()      the device's own date, "2027-02-09"; also window.portalToday(). On the coach's
                  own computer (127.0.0.1 or localhost) an address with ?day=2027-02-09 says
                  which day it is, so that she can look at any
     link(place)  an address for a place like "beat", with the key in it
     go(place)    goes there
     policy       the Trusted Types policy, or a stand-in: policy.createHTML(text). Only for
                  text that this site made; a worker's address goes through createScriptURL
   Events on document: "portal:shown" with detail {view, id} whenever a view is shown, and
   "portal:day" when the date changes while the page is open.

   portal-data
     version       1
     code          says in a check-in whose it is
     called        how the client is spoken to
     language      for Intl; plain "en" has become "en-GB", so that days stand before months
     units         "km" or "mi"
     status        "active", "paused", "ended" or "referred"
     as_of         the plan's day, "2027-02-10"
     coach         {name, contact, href}; href is mailto:, tel: or empty
     emergency     the local emergency number, or null
     baseline_spm  steps a minute at the start, both feet
     weeks         [{number, start (a Monday), kind, cadence_spm: [low, aim, high],
                     sessions: [{id, on, at ("18:30" or null), kind, run_minutes, total_minutes,
                                 effort: [low, high],
                                 parts: [[kind, minutes, repeat, spm or null], ...]}]}]
                   neighbouring parts with the same repeat above 1 are done in turn
     logged        days of the check-ins that the coach has taken in, ascending */
"use strict";

(function () {
  const page = document.documentElement;
  const views = () => Array.from(document.querySelectorAll(".view"));
  const one = (selector, root) => (root || document).querySelector(selector);
  const all = (selector, root) => Array.from((root || document).querySelectorAll(selector));

  function makePolicy() {
    const rules = {
      createHTML: (text) => text,
      createScriptURL: (address) => {
        const whole = new URL(address, location.href);
        if (whole.origin !== location.origin) throw new TypeError("not one of our files");
        return whole.href;
      },
    };
    return window.trustedTypes ? window.trustedTypes.createPolicy("portal", rules) : rules;
  }

  // The address's end: "#KEY/weeks/5", "#k=KEY&v=weeks/5", "#KEY" or "#weeks/5".

  const VIEW_NAME = /^(now|weeks|drills|cadence|beat|checkin|calendar|care)(\/|$)/;

  function readAddress(end) {
    const text = end.replace(/^#/, "");
    if (/^[kv]=/.test(text)) {
      const pairs = new URLSearchParams(text);
      return { key: pairs.get("k") || "", place: pairs.get("v") || "", pairs: true };
    }
    if (VIEW_NAME.test(text) || text === "main") return { key: "", place: text, pairs: false };
    const cut = text.indexOf("/");
    return cut < 0
      ? { key: text, place: "", pairs: false }
      : { key: text.slice(0, cut), place: text.slice(cut + 1), pairs: false };
  }

  let address = readAddress(location.hash);

  function link(place) {
    if (!address.key) return "#" + place;
    return address.pairs ? "#k=" + address.key + "&v=" + place : "#" + address.key + "/" + place;
  }

  function go(place) {
    location.hash = link(place);
  }

  // Today, by the device's own calendar; in the coach's preview any day that the address asks for.

  function dayAskedFor() {
    if (!["127.0.0.1", "localhost"].includes(location.hostname)) return "";
    const day = new URLSearchParams(location.search).get("day") || "";
    const at = /^\d{4}-\d{2}-\d{2}$/.test(day) ? Date.parse(day + "T00:00Z") : NaN;
    return !Number.isNaN(at) && new Date(at).toISOString().startsWith(day) ? day : "";
  }

  const asked = dayAskedFor();

  function today() {
    if (asked) return asked;
    const now = new Date();
    const two = (n) => String(n).padStart(2, "0");
    return now.getFullYear() + "-" + two(now.getMonth() + 1) + "-" + two(now.getDate());
  }

  const portal = {
    id: page.dataset.portal || "",
    data: null,
    today,
    link,
    go,
    policy: makePolicy(),
    readAddress,
    keyInAddress: () => address.key,
    start,
    soon,
  };
  window.portal = portal;
  window.portalToday = today;

  // Views

  function splitPlace(place) {
    const cut = place.indexOf("/");
    return cut < 0 ? [place, ""] : [place.slice(0, cut), place.slice(cut + 1)];
  }

  function show(place, byReader) {
    let [name, id] = splitPlace(place);
    let section = views().find((view) => view.id === name);
    if (!section) {
      section = views()[0];
      [name, id] = [section.id, ""];
    }
    for (const view of views()) {
      // "until-found": a search in the page also finds what stands in the other views
      if (view === section) view.removeAttribute("hidden");
      else view.setAttribute("hidden", "until-found");
    }
    for (const a of all(".nav a")) {
      if (splitPlace(readAddress(a.getAttribute("href")).place)[0] === name)
        a.setAttribute("aria-current", "page");
      else a.removeAttribute("aria-current");
    }
    const title = one(".title", section);
    const label = one('.nav [aria-current="page"]');
    document.title = (label ? label.textContent : title.textContent) + " · " + plainTitle;
    page.dataset.view = name;
    closeMore();

    const target = id && document.getElementById(name + "-" + id);
    if (target && target.tagName === "DETAILS") target.open = true;
    if (target) {
      if (!target.hasAttribute("tabindex")) target.setAttribute("tabindex", "-1");
      target.focus({ preventScroll: true });
      target.scrollIntoView();
    } else if (byReader) {
      title.focus({ preventScroll: true });
      window.scrollTo(0, 0);
    }
    document.dispatchEvent(new CustomEvent("portal:shown", { detail: { view: name, id } }));
  }

  const plainTitle = document.title;

  function addressChanged() {
    const next = readAddress(location.hash);
    if (next.key && address.key && next.key !== address.key) {
      location.reload(); // another link: begin anew with its key
      return;
    }
    const lost = address.key && !next.key;
    if (!lost) address = next;
    else address = { key: address.key, place: next.place, pairs: address.pairs };
    if (lost) history.replaceState(history.state, "", link(next.place));
    linkUp(document);
    if (next.place === "main") {
      one("#main").setAttribute("tabindex", "-1");
      one("#main").focus();
      return;
    }
    show(next.place || "now", true);
  }

  // Links within the document carry the key, so that they can be opened anew or bookmarked.
  function linkUp(root) {
    for (const a of all('a[href^="#"]', root)) {
      const place = a.dataset.place || readAddress(a.getAttribute("href")).place;
      if (!place) continue;
      a.dataset.place = place;
      a.setAttribute("href", link(place));
    }
  }
  portal.linkUp = linkUp;

  // Navigation on a phone: the further views stand behind "More".

  function closeMore() {
    const button = one(".more button");
    if (button) button.setAttribute("aria-expanded", "false");
    one(".nav").removeAttribute("data-open");
  }

  function initMore() {
    const button = one(".more button");
    if (!button) return;
    button.hidden = false;
    button.addEventListener("click", () => {
      const open = button.getAttribute("aria-expanded") !== "true";
      button.setAttribute("aria-expanded", String(open));
      one(".nav").toggleAttribute("data-open", open);
    });
    document.addEventListener("keydown", (event) => {
      if (event.key !== "Escape" || button.getAttribute("aria-expanded") !== "true") return;
      closeMore();
      button.focus();
    });
    document.addEventListener("click", (event) => {
      if (!event.target.closest(".nav")) closeMore();
    });
  }

  // The cadence chart: one stop for the Tab key, arrows between the points, and a line of text
  // for whoever points with a finger.

  function initChart() {
    const line = one("[data-point]");
    for (const chart of all(".chart")) {
      const points = all(".point[tabindex]", chart);
      points.forEach((point, at) => {
        point.setAttribute("tabindex", at === points.length - 1 ? "0" : "-1");
        const tell = () => {
          line.hidden = false;
          line.textContent = point.getAttribute("aria-label");
        };
        point.addEventListener("focus", tell);
        point.addEventListener("pointerenter", tell);
        point.addEventListener("click", () => point.focus());
        point.addEventListener("keydown", (event) => {
          const step = { ArrowRight: 1, ArrowLeft: -1, Home: -points.length, End: points.length };
          if (!(event.key in step)) return;
          event.preventDefault();
          const to = Math.max(0, Math.min(points.length - 1, at + step[event.key]));
          points.forEach((p, n) => p.setAttribute("tabindex", n === to ? "0" : "-1"));
          points[to].focus();
        });
      });
    }
  }

  // Paper: all weeks open, or only the one that was asked for.

  function initPrint() {
    let shut = [];
    window.addEventListener("beforeprint", () => {
      shut = all("details:not([open])");
      for (const details of shut) details.open = true;
    });
    window.addEventListener("afterprint", () => {
      for (const details of shut) details.open = false;
      shut = [];
      for (const week of all("[data-off-paper]")) week.removeAttribute("data-off-paper");
    });
    for (const button of all("[data-print]")) {
      button.hidden = false;
      button.addEventListener("click", () => {
        for (const week of all(".week"))
          week.toggleAttribute("data-off-paper", week.dataset.week !== button.dataset.print);
        window.print();
      });
    }
  }

  // The practice's logo stands in the document once; on paper each week carries it.

  function initLogo() {
    const logo = one(".top .logo");
    for (const whose of logo ? all(".whose-paper") : []) {
      const copy = logo.cloneNode();
      copy.alt = "";
      whose.prepend(copy);
    }
  }

  // The private link as a QR code, on paper only and only for who asks. "SIZE:BITS", row by row.

  function initQr() {
    const tick = one("#qr");
    if (!tick) return;
    tick.closest("p").hidden = false;
    tick.checked = false;
    tick.addEventListener("change", () => {
      for (const old of all(".qr")) old.remove();
      if (!tick.checked) return;
      const [side, packed] = tick.dataset.squares.split(":");
      const size = Number(side);
      const bytes = atob(packed);
      let dark = "";
      for (let at = 0; at < size * size; at += 1)
        if ((bytes.charCodeAt(at >> 3) >> (7 - (at & 7))) & 1)
          dark += "M" + (at % size) + " " + Math.floor(at / size) + "h1v1h-1z";
      const space = "http://www.w3.org/2000/svg";
      for (const week of all(".week .inside")) {
        const svg = document.createElementNS(space, "svg");
        svg.setAttribute("class", "qr");
        svg.setAttribute("viewBox", "-4 -4 " + (size + 8) + " " + (size + 8)); // 4 quiet squares
        svg.setAttribute("aria-hidden", "true");
        const path = document.createElementNS(space, "path");
        path.setAttribute("d", dark);
        svg.append(path);
        week.prepend(svg);
      }
    });
  }

  function initCopy() {
    for (const button of all("[data-copy]")) {
      const field = document.getElementById(button.dataset.copy);
      field.addEventListener("focus", () => field.select());
      if (!navigator.clipboard) continue;
      button.hidden = false;
      button.addEventListener("click", async () => {
        try {
          await navigator.clipboard.writeText(field.value);
          one("#copied").textContent = button.dataset.done || "✓";
        } catch (error) {
          field.focus();
        }
      });
    }
  }

  // What this device keeps: only what the reader ticks, and it can be forgotten at once.

  const keep = {
    get(name) {
      try {
        return localStorage.getItem("portal." + portal.id + "." + name);
      } catch (error) {
        return null;
      }
    },
    set(name, value) {
      try {
        localStorage.setItem("portal." + portal.id + "." + name, value);
        return true;
      } catch (error) {
        return false;
      }
    },
    drop(name) {
      try {
        localStorage.removeItem("portal." + portal.id + "." + name);
      } catch (error) {
        // nothing was kept
      }
    },
  };
  portal.keep = keep;

  async function forget() {
    portal.forgotten = true;
    try {
      const mine = "portal." + portal.id + ".";
      for (const store of [localStorage, sessionStorage])
        for (const name of Object.keys(store))
          if (name.startsWith(mine)) store.removeItem(name);
    } catch (error) {
      // storage is switched off, so nothing was kept
    }
    try {
      if (window.caches)
        for (const name of await caches.keys())
          if (name.includes(portal.id)) await caches.delete(name);
      if (navigator.serviceWorker)
        for (const worker of await navigator.serviceWorker.getRegistrations())
          if (worker.scope.includes(portal.id)) await worker.unregister();
    } catch (error) {
      // from disk there are neither
    }
  }

  function initDevice() {
    const box = one(".device");
    box.hidden = false;
    const tick = one("#keep");
    for (const part of all(".home-screen > [data-for]"))
      part.hidden = (part.dataset.for === "sealed") !== Boolean(portal.keyUsed);
    if (portal.keyUsed) {
      one('[data-for="key"]').hidden = false;
      tick.checked = keep.get("key") === portal.keyUsed;
      tick.addEventListener("change", () => {
        if (!tick.checked) keep.drop("key");
        else if (!keep.set("key", portal.keyUsed)) tick.checked = false;
      });
    }
    one("#forget").addEventListener("click", async () => {
      await forget();
      if (portal.keyUsed) {
        window.removeEventListener("hashchange", addressChanged);
        history.replaceState(null, "", location.pathname + location.search);
        one("#portal").replaceChildren();
        portal.door.say("forgotten");
      } else {
        one("#forgotten").hidden = false;
      }
    });
  }

  // Begin

  function start() {
    portal.data = JSON.parse(one("#portal-data").textContent);
    linkUp(document);
    initMore();
    initChart();
    initPrint();
    initQr();
    initCopy();
    initDevice();
    window.portalNow.init(portal);
    for (const view of views())
      view.addEventListener("beforematch", () => go(view.id));
    window.addEventListener("hashchange", addressChanged);
    const place = address.place || "now";
    // What is asked for stands there first; the rest gets ready in a task of its own.
    if (splitPlace(place)[0] in LATER) {
      getReady();
      show(place, false);
    } else {
      show(place, false);
      soon(getReady);
    }
  }

  // In a task of its own, so that a slow phone can answer a finger in between.
  function soon(work) {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => work();
    port2.postMessage("");
  }

  const LATER = { beat: "initBeat", checkin: "initCheckin" };

  function getReady() {
    for (const [name, init] of Object.entries(LATER)) {
      const root = document.getElementById(name);
      if (root && typeof window[init] === "function") window[init](root);
    }
    initLogo();
    window.portalOffline.init(portal);
    page.dataset.ready = "";
  }

  if (document.getElementById("sealed")) portal.door = window.portalDoor.open(portal);
  else start();
})();
