/* The page's script: which view is shown, what is kept, what the buttons do. Classic and
   deferred, since a page opened from disk may not load modules. Runs last of all scripts.

   For the scripts of single views
   -------------------------------
   A view is a folder of sitegen/portal/views: NAME/view.html stands in
   <section class="view" id="NAME">, whose h2 the document writes; NAME/*.js are put together with
   the page's own scripts. A view's script may set parts.views.NAME = {show, getReady}: show(section,
   portal) is called before anything is shown, getReady(section, portal) soon after; each once, with
   the document in the page; getLater(section, portal) belongs to scripts that come after that, see LATER of
   sitegen/portal/assets.py. Links to another view are written <a href="#NAME"> or
   <a href="#NAME/ID">, the latter for the element with the id "NAME-ID"; the link's key is added to
   them here.

   window.portal
     id           the portal's id; keep things in localStorage under "portal.ID." + a name,
                  so that "Forget on this device" finds them
     data         what stands in <script type="application/json" id="portal-data">, see below
     today()      the device's own date, "2027-02-09". On the coach's
                  own computer (127.0.0.1 or localhost) an address with ?day=2027-02-09 says
                  which day it is, so that she can look at any
     morning()    the last day whose morning has come: until four o'clock it is yesterday
     link(place)  an address for a place like "beat", with the key in it
     go(place)    goes there
     own          {get, set, drop}: what the reader told, by the names "checkin" and "stop"; on a
                  sealed page it is kept sealed, see door/vault.js
     stops        what this device's own check-ins stop: stops.write(session, entry, isSent)
     policy       the Trusted Types policy, or a stand-in: policy.createHTML(text). Only for
                  text that this site made; a worker's address goes through createScriptURL
   Events on document: "portal:shown" with detail {view, id} whenever a view is shown, and
   "portal:stopped" when a check-in of this device stops the plan, or all is forgotten, and
   "portal:told" when a check-in was sent, and
   "portal:day" when the date changes while the page is open, and
   "portal:drawn" with detail {inside} when something folded was drawn, see views/weeks/folded.js.

   portal-data
     version       1
     code          says in a check-in whose it is
     signing       the key that signs check-ins, base64url; empty in an open portal
     called        how the client is spoken to
     language      for Intl; plain "en" has become "en-GB", so that days stand before months
     units         "km" or "mi"
     status        "active", "paused", "ended" or "referred"
     stop          what stops the plan, a kind of sitegen/portal/stopped.py; empty where nothing does
     as_of         the plan's day, "2027-02-10"
     edition       how many plans of that day came before this one
     coach         {name, contact, href}; href is mailto:, tel: or empty
     emergency     the local emergency number, or null
     baseline_spm  steps a minute at the start, both feet
     weeks         [{number, start (a Monday), kind, cadence_spm: [low, aim, high],
                     sessions: [{id, on, at ("18:30" or null), kind, run_minutes, total_minutes,
                                 effort: [low, high],
                                 parts: [[kind, minutes, repeat, spm or null], ...]}]}];
                   a walk, kind walk, has walk_minutes too;
                   a fifth value, 1, in a part of hard running;
                   neighbouring parts with the same repeat above 1 are done in turn
     logged        {ran, done, skipped}: days of the check-ins that the coach has taken in, one for
                   each session that was told; done is one without running; stopped: days lately on
                   which a stop stood, of which nobody is asked
     reacts        what a build knows of a device's check-ins: sitegen/portal/reacting.py */
"use strict";

(function () {
  const parts = window.portalParts;
  const { splitPlace, readAddress, linkTo, dayAskedFor } = parts.address;
  const { corner, nameOf, forget, hasUnsent } = parts.device;
  const { createStops } = parts.stopping;
  const page = document.documentElement;
  const views = () => Array.from(document.querySelectorAll(".view"));
  const one = (selector, root) => (root || document).querySelector(selector);
  const all = (selector, root) => Array.from((root || document).querySelectorAll(selector));

  function makePolicy() {
    const rules = {
      createHTML: (text) => text,
      createScriptURL: (address) => {
        const whole = new URL(address, location.href);
        // Not by origin: from disk browsers differ in what that is.
        if (whole.protocol !== location.protocol || whole.host !== location.host)
          throw new TypeError("not one of our files");
        return whole.href;
      },
    };
    return window.trustedTypes ? window.trustedTypes.createPolicy("portal", rules) : rules;
  }

  const VIEWS = page.dataset.views.split(" ");
  const read = (end) => readAddress(end, VIEWS);
  let address = read(location.hash);

  function link(place) {
    return linkTo(address, place);
  }

  function go(place) {
    location.hash = link(place);
  }

  // Today, by the device's own calendar; in the coach's preview any day that the address asks for.

  const asked = dayAskedFor(location);

  const NIGHT_HOURS = 4; // after midnight that are still the evening before; no source

  function today(hoursBack = 0) {
    if (asked) return asked;
    const now = new Date();
    now.setHours(now.getHours() - hoursBack);
    const two = (n) => String(n).padStart(2, "0");
    return now.getFullYear() + "-" + two(now.getMonth() + 1) + "-" + two(now.getDate());
  }

  const portal = {
    id: page.dataset.portal || "",
    data: null,
    today,
    morning: () => today(NIGHT_HOURS),
    link,
    go,
    policy: makePolicy(),
    keep: corner(page.dataset.portal || ""),
    nameOf: (name) => nameOf(page.dataset.portal || "", name),
    keyInAddress: () => address.key,
    start,
    soon,
  };
  portal.own = portal.keep;
  window.portal = portal;

  // Views

  /* `byReader`: it was asked for, and did not only come up by a search or with the page. */
  function show(place, byReader) {
    let [name, id] = splitPlace(place);
    let section = views().find((view) => view.id === name);
    if (!section) {
      section = views()[0];
      [name, id] = [section.id, ""];
    }
    for (const view of views()) {
      // "until-found": a search in the page also finds what stands in the other views. Its title is
      // not found there, so with a name each of them would be a region without one.
      if (view === section) {
        view.removeAttribute("hidden");
        view.setAttribute("aria-labelledby", view.id + "-title");
      } else {
        view.setAttribute("hidden", "until-found");
        view.removeAttribute("aria-labelledby");
      }
    }
    for (const a of all(".nav a")) {
      if (splitPlace(read(a.getAttribute("href")).place)[0] === name)
        a.setAttribute("aria-current", "page");
      else a.removeAttribute("aria-current");
    }
    const title = one(".title", section);
    const label = one('.nav [aria-current="page"]');
    const mark = page.hasAttribute("data-running") ? "▶ " : ""; // the tab says that a session runs
    document.title = mark + (label ? label.textContent : title.textContent) + " · " + plainTitle;
    page.dataset.view = name;
    closeMore();

    if (name === "weeks") reach(id);
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
    if (name === "weeks" && byReader && !id) atThisWeek();
    document.dispatchEvent(new CustomEvent("portal:shown", { detail: { view: name, id } }));
  }

  /* A week or a session that is still folded: "12", "s-w5d3". */
  function reach(id) {
    const isAt = (week) => String(week.number) === id || week.sessions.some((one) => "s-" + one.id === id);
    const week = portal.data.weeks.find(isAt);
    if (week) parts.folded.draw(one("#weeks-" + week.number), portal);
  }

  function atThisWeek() {
    const here = one('.week > summary[aria-current="date"]');
    const isFar = here && here.getBoundingClientRect().top > window.innerHeight / 2;
    if (isFar && !window.scrollY) here.scrollIntoView();
  }

  const plainTitle = document.title;
  let isFound = false; // a search in the page turned up a view, and scrolls to the words itself

  function addressChanged() {
    const next = read(location.hash);
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
    show(next.place || "now", !isFound);
    isFound = false;
  }

  // Links within the document carry the key, so that they can be opened anew or bookmarked.
  function linkUp(root) {
    for (const a of all('a[href^="#"]', root)) {
      const place = a.dataset.place || read(a.getAttribute("href")).place;
      if (!place) continue;
      a.dataset.place = place;
      a.setAttribute("href", link(place));
    }
  }
  portal.linkUp = linkUp;

  // Navigation on a phone: the further views stand behind "More".

  function closeMore() {
    const button = one(".more button");
    if (!button) return;
    button.setAttribute("aria-expanded", "false");
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

  // Paper: all that is folded is open.

  function initPrint() {
    let shut = [];
    window.addEventListener("beforeprint", () => {
      shut = all("details:not([open])");
      for (const details of shut) details.open = true;
    });
    window.addEventListener("afterprint", () => {
      for (const details of shut) details.open = false;
      shut = [];
    });
  }

  function initDevice() {
    const box = one(".device");
    box.hidden = false;
    const tick = one("#keep");
    for (const part of all(".home-screen > [data-for]"))
      part.hidden = (part.dataset.for === "sealed") !== Boolean(portal.keyUsed);
    if (portal.keyUsed) {
      one('[data-for="key"]').hidden = false;
      tick.checked = portal.keep.get("key") === portal.keyUsed;
      tick.addEventListener("change", () => {
        if (!tick.checked) portal.keep.drop("key");
        else if (!portal.keep.set("key", portal.keyUsed)) tick.checked = false;
      });
    }
    if (portal.wordsUsed) {
      const words = one("#keep-words");
      one('[data-for="words"]').hidden = false;
      words.checked = portal.keep.get("words") === portal.wordsUsed;
      words.addEventListener("change", () => {
        if (!words.checked) portal.keep.drop("words");
        else if (!portal.keep.set("words", portal.wordsUsed)) words.checked = false;
      });
    }
    const sure = one("#forget-sure");
    one("#forget").addEventListener("click", () => {
      sure.hidden = false;
      one("[data-unsent]", sure).hidden = !hasUnsent(portal.own.get("checkin"));
      one("[data-stays]", sure).hidden = !portal.stops.stands();
      one("#forget-words").focus();
    });
    one("#forget-no").addEventListener("click", () => {
      sure.hidden = true;
      one("#forget").focus();
    });
    one("#forget-yes").addEventListener("click", async () => {
      sure.hidden = true;
      portal.forgotten = true;
      document.dispatchEvent(new CustomEvent("portal:stopped")); // what sounds or listens ends
      const urgent = portal.stops.forget() ? portal.own.get("checkin") : null;
      portal.own.drop("checkin");
      if (portal.keyUsed) { // at once: a worker that is still fetching holds up what follows
        window.removeEventListener("hashchange", addressChanged);
        history.replaceState(null, "", location.pathname + location.search);
        one("#portal").replaceChildren();
      }
      await forget(portal.id);
      if (urgent !== null) portal.own.set("checkin", urgent);
      if (portal.keyUsed) portal.door.say("forgotten");
      else one("#forgotten").hidden = false;
    });
  }

  // Begin

  /* `byReader`: a passphrase was typed, and the field that had the focus is gone. */
  function start(byReader) {
    portal.data = JSON.parse(one("#portal-data").textContent);
    drawAlike();
    portal.stops = createStops(portal);
    linkUp(document);
    initMore();
    initPrint();
    initDevice();
    parts.folded.init(portal);
    each("show");
    for (const view of views())
      view.addEventListener("beforematch", () => {
        if (splitPlace(read(location.hash).place)[0] === view.id) return; // a link leads here
        isFound = true;
        go(view.id);
      });
    window.addEventListener("hashchange", addressChanged);
    const place = address.place || "now";
    // What is asked for stands there first; the rest gets ready in a task of its own.
    if (needsReady(splitPlace(place)[0])) {
      getReady();
      show(place, byReader);
    } else {
      show(place, byReader);
      soon(getReady);
    }
  }

  /* What is the same for all clients comes to a sealed page with its scripts. */
  function drawAlike() {
    for (const slot of all("[data-alike]")) slot.outerHTML = portal.policy.createHTML(window.portalViews[slot.dataset.alike]);
  }

  // In a task of its own, so that a slow phone can answer a finger in between.
  function soon(work) {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => work();
    port2.postMessage("");
  }

  // What the scripts of the views have to do: parts.views, by name.

  function each(what) {
    for (const section of views()) {
      const view = parts.views[section.id];
      if (view && view[what]) view[what](section, portal);
    }
  }

  function needsReady(name) {
    return Boolean(parts.views[name] && parts.views[name].getReady);
  }

  function getReady() {
    each("getReady");
    if (page.dataset.view === "weeks") atThisWeek();
    page.dataset.ready = "";
    soon(loadLater);
  }

  /* Scripts that no first picture needs; asked for once more with the next view where they don't come. */
  function loadLater() {
    const script = document.createElement("script");
    script.addEventListener("load", () => {
      parts.host.look(portal);
      each("getLater");
      parts.lateDrills.init(portal);
      window.portalOffline.init(portal); // the worker now takes from the browser what it has
    });
    script.addEventListener("error", () => {
      script.remove();
      document.addEventListener("portal:shown", loadLater, { once: true });
    });
    script.src = portal.policy.createScriptURL(page.dataset.later);
    document.head.append(script);
  }

  if (document.getElementById("sealed")) portal.door = window.portalDoor.open(portal);
  else start();
})();
