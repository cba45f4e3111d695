/* The desk's page: comes in with the token of its address, fetches parts of the page with it, and
   sends what is to be done. What a part holds is written by the server; this knows no panel. */
"use strict";

(() => {
  const policy = window.trustedTypes
    ? window.trustedTypes.createPolicy("desk", { createHTML: (text) => text })
    : { createHTML: (text) => text };
  const find = (selector, within = document) => within.querySelector(selector);
  const main = find("#main");
  const above = find("#above");
  const ask = find("#ask");
  const inside = find("[data-inside]", ask);
  const STORED = "desk-token";
  let token = "";
  let version = "";
  let acting = 0; // acts that are at work
  let doing = null; // the act that is shown: where it goes, and its ticket
  let isStale = false; // the page is older than what was fetched
  let before = null; // what had the focus when the dialog opened

  const say = (text) => { find("#says").textContent = text; };
  const put = (place, text) => { place.innerHTML = policy.createHTML(text); };

  // --- asking the server ----------------------------------------------------------------

  async function request(path, sent) {
    const headers = { "X-Desk-Token": token };
    if (sent) headers["Content-Type"] = "application/json";
    const answer = await fetch(path, {
      method: sent ? "POST" : "GET", headers, cache: "no-store", credentials: "omit",
      body: sent ? JSON.stringify(sent) : undefined,
    });
    if (!answer.ok) {
      const why = (await answer.text()).trim();
      if (answer.status === 403) leave(why);
      throw new Error(why || "The desk did not answer.");
    }
    return answer;
  }

  function leave(why) {
    sessionStorage.removeItem(STORED);
    ask.close();
    above.textContent = "";
    put(main, "<h2 class=\"title\">This page is closed</h2><p class=\"lead\" data-why></p>"
      + "<p>Where <code>sitegen desk</code> runs, press Enter for a new address.</p>");
    find("[data-why]", main).textContent = why;
  }

  const telling = (work) => async (...given) => {
    try {
      return await work(...given);
    } catch (error) {
      say(error instanceof TypeError ? "The desk does not answer; it may have ended." : error.message);
      return undefined;
    }
  };

  // --- parts of the page ----------------------------------------------------------------

  function here() {
    const [name, query] = (location.hash.slice(1) || find("[data-home]").hash.slice(1)).split("?");
    return { name, query: query || "" };
  }

  const address = (name, query) => `/panel/${encodeURIComponent(name)}${query ? `?${query}` : ""}`;

  function keyOf(element) {
    if (!element || !element.closest || !main.contains(element)) return "";
    return element.id || element.name || element.getAttribute("href") || element.dataset.open || "";
  }

  function focusAgain(key) {
    const same = [...main.querySelectorAll("[id], [name], [href], [data-open]")];
    const found = key && same.find((one) => keyOf(one) === key);
    if (found) found.focus();
    return Boolean(found);
  }

  function openAgain(ids) {
    for (const id of ids) {
      const again = document.getElementById(id);
      if (again) again.open = true;
    }
  }

  const isWriting = () => Boolean(find("[data-dirty]", main));
  const isBusy = () => ask.open || isWriting();

  const show = telling(async (isNew, isOwn) => {
    const { name, query } = here();
    const answer = await request(address(name, query));
    version = answer.headers.get("X-Desk-Version");
    const text = await answer.text();
    if (here().name !== name || here().query !== query) return;
    isStale = !isNew && (isOwn ? isWriting() : isBusy()); // she began to write while it was fetched
    if (isStale) return;
    const key = keyOf(document.activeElement);
    const opened = [...main.querySelectorAll("details[open][id]")].map((one) => one.id);
    const kept = isNew ? [] : [...main.querySelectorAll("[data-keep][id]")];
    put(main, text);
    for (const one of kept) { // what was told stays until she goes elsewhere
      const again = document.getElementById(one.id);
      if (again) again.replaceChildren(...one.childNodes);
    }
    if (!isNew) openAgain(opened);
    for (const link of document.querySelectorAll("nav a")) {
      if (link.hash === `#${name}`) link.setAttribute("aria-current", "page");
      else link.removeAttribute("aria-current");
    }
    const title = find("h2", main);
    document.title = title ? `${title.textContent} – the desk` : "The desk";
    if (isNew) { main.focus(); scrollTo(0, 0); } else focusAgain(key);
    main.querySelectorAll("form[data-view]").forEach(live);
  });

  const showAbove = telling(async () => {
    const text = await (await request("/panel/alarms")).text();
    const opened = [...above.querySelectorAll("details[open][id]")]; // also while it was fetched
    const form = document.activeElement && document.activeElement.form;
    if (form && above.contains(form) && !ask.open) return; // she writes there
    const typed = opened.map((one) => [one.id, fieldsOf(one).map((field) => [field.value, field.checked])]);
    put(above, text);
    openAgain(opened.map((one) => one.id));
    for (const [id, was] of typed) {
      const again = document.getElementById(id);
      const fields = again ? fieldsOf(again) : [];
      if (fields.length === was.length) {
        fields.forEach((field, at) => { [field.value, field.checked] = was[at]; });
      }
    }
  });

  const fieldsOf = (part) => [...part.querySelectorAll("[name]:not([type=hidden], button)")];

  const showAll = (isNew, isOwn) => Promise.all([show(isNew, isOwn), showAbove()]);

  // --- an act: shown, then done ---------------------------------------------------------

  const given = async (form) => {
    const found = {};
    for (const [name, value] of new FormData(form)) {
      if (typeof value === "string") found[name] = value;
      else if (value.size || value.name) (found[name] = found[name] || []).push(await packed(value));
    }
    return found;
  };

  async function packed(file) {
    const bytes = new Uint8Array(await file.arrayBuffer());
    let text = "";
    for (let at = 0; at < bytes.length; at += 32768) {
      text += String.fromCharCode(...bytes.subarray(at, at + 32768));
    }
    return { name: file.name, data: btoa(text) };
  }

  function openAsk(text) {
    put(inside, text);
    if (!ask.open) { before = document.activeElement; ask.showModal(); }
    const title = find("#ask-title", ask);
    if (title) title.focus();
  }

  function closeAsk() {
    doing = null;
    ask.close();
  }

  ask.addEventListener("close", () => {
    doing = null;
    inside.textContent = "";
    const key = keyOf(before);
    if (before && before.isConnected) before.focus();
    else if (!focusAgain(key)) main.focus();
    before = null;
    if (isStale) show(false);
  });

  const showAct = telling(async (form, act, values) => {
    if (form.dataset.working) return undefined; // a second press does nothing
    const sent = [...form.elements].map((one) => one.value);
    say(form.dataset.wait || "");
    working(form, true);
    try {
      const answer = await (await request(`/act/${act}`, { given: values })).json();
      if (answer.done !== undefined) return await finish(answer, form, sent);
      doing = { act, ticket: answer.ticket, form };
      say("");
      return openAsk(answer.html);
    } finally {
      working(form, false);
    }
  });

  function working(form, is) {
    acting += is ? 1 : -1;
    if (is) form.dataset.working = "yes";
    else delete form.dataset.working;
    for (const one of form.querySelectorAll("button")) { // the one that was pressed keeps the focus
      if (is) one.setAttribute("aria-disabled", "true");
      else one.removeAttribute("aria-disabled");
    }
  }

  async function finish(answer, form, sent) {
    const came = form && form.dataset.came;
    version = String(answer.version); // her own act is no news
    const since = sent ? [...form.elements].filter((one, at) => one.value !== sent[at]) : [];
    if (form && !since.length) delete form.dataset.dirty;
    if (!came && (!answer.done || answer.tells)) openAsk(answer.html);
    else if (!came || !sent) closeAsk(); // one done unasked opened none: that one is another act's
    if (answer.done) {
      if (came && form.isConnected) empty(form, since);
      await showAll(false, true);
    }
    if (came) put(find(came), answer.told); // a place that is read out by itself
    say(came ? "" : answer.says);
  }

  function empty(form, since) { // but for what she wrote since it was sent
    const kept = since.map((one) => [one, one.type === "file" ? "files" : "value"])
      .map(([one, has]) => [one, has, one[has]]);
    form.reset();
    for (const [one, has, what] of kept) one[has] = what;
  }

  const doIt = telling(async () => {
    if (!doing || !doing.ticket) return;
    const { act, ticket, form } = doing;
    doing = null; // a second press does nothing
    working(ask, true);
    try {
      const answer = await (await request(`/act/${act}`, { ticket })).json();
      await finish(answer, form);
    } finally {
      working(ask, false);
    }
  });

  const open = telling(async (where) => {
    const [name, query] = where.split("?");
    openAsk(await (await request(address(name, query))).text());
  });

  // --- live: what she types, answered as she types --------------------------------------

  const turns = new WeakMap();

  const live = telling(async (form) => {
    const turn = (turns.get(form) || 0) + 1;
    turns.set(form, turn);
    const answer = await request(`/view/${form.dataset.view}`, await given(form));
    const text = await answer.text();
    if (turns.get(form) !== turn || !form.isConnected) return;
    const place = find(form.dataset.into);
    const frame = find("iframe", place);
    put(place, text);
    const anew = find("iframe", place);
    if (frame && anew) { // no flash: the old frame stays and is sent on
      const src = anew.src;
      anew.replaceWith(frame);
      if (frame.src !== src) frame.src = src;
    }
  });

  // Where the browser lets nothing be copied, the text is marked, to be copied by hand.
  async function copy(field) {
    field.select();
    try {
      await navigator.clipboard.writeText(field.value);
      say("Copied.");
    } catch {
      say("Marked: copy it with Ctrl-C.");
    }
  }

  let waiting = 0;
  document.addEventListener("input", (event) => {
    const form = event.target.form;
    if (!form) return;
    if (form.dataset.filter) {
      const query = new URLSearchParams([...new FormData(form)].filter(([, value]) => value));
      history.replaceState(null, "", `#${form.dataset.filter}${String(query) ? `?${query}` : ""}`);
      show(false);
      return;
    }
    if (main.contains(form)) form.dataset.dirty = "yes";
    if (form.dataset.view) {
      clearTimeout(waiting);
      waiting = setTimeout(() => live(form), 120);
    }
  });

  document.addEventListener("submit", async (event) => {
    const form = event.target;
    event.preventDefault();
    const by = event.submitter;
    const act = (by && by.dataset.show) || form.dataset.show;
    if (act) {
      const values = await given(form);
      if (by && by.name) values[by.name] = by.value;
      showAct(form, act, values);
    } else if (form.dataset.view) live(form);
  });

  document.addEventListener("click", (event) => {
    const at = (selector) => event.target.closest && event.target.closest(selector);
    if (at("[data-skip]")) main.focus();
    else if (at("[data-no]")) closeAsk();
    else if (at("[data-yes]")) doIt();
    else if (at("[data-copy]")) copy(at("[data-copy]").parentElement.querySelector("textarea"));
    else if (at("[data-open]")) open(at("[data-open]").dataset.open);
  });

  // --- files dropped, and text pasted ---------------------------------------------------

  document.addEventListener("dragover", (event) => { event.preventDefault(); });
  document.addEventListener("drop", (event) => {
    event.preventDefault();
    const form = find("form[data-drop]", main);
    if (!form) {
      say("Drop files on the page where messages are taken in.");
      return;
    }
    const files = find("input[type=file]", form);
    files.files = event.dataTransfer.files;
    const text = event.dataTransfer.getData("text/plain");
    if (!event.dataTransfer.files.length && text) find("textarea", form).value = text;
    form.requestSubmit();
  });

  // --- news -----------------------------------------------------------------------------

  async function follow() {
    while (token) {
      try {
        const news = await (await request(`/news?since=${version}`)).json();
        if (String(news.version) !== version) {
          version = String(news.version);
          if (!isBusy()) await show(false);
          else if (!ask.open && !acting) say("Something changed on the disk; what you write here is kept.");
          await showAbove();
        }
      } catch {
        if (!sessionStorage.getItem(STORED)) return;
        await new Promise((done) => setTimeout(done, 1000)); // it may be started again
      }
    }
  }

  window.addEventListener("hashchange", () => {
    say("");
    if (token) showAll(true);
    else begin();
  });

  // --- coming in ------------------------------------------------------------------------

  async function begin() {
    const once = /^#[0-9a-f]{64}$/.test(location.hash) ? location.hash.slice(1) : "";
    if (once) {
      history.replaceState(null, "", "/"); // nobody finds it in the history
      const answer = await fetch("/enter", {
        method: "POST", headers: { "X-Desk-Once": once }, cache: "no-store", credentials: "omit",
      });
      if (!answer.ok) return leave((await answer.text()).trim());
      sessionStorage.setItem(STORED, (await answer.json()).token);
    }
    token = sessionStorage.getItem(STORED) || "";
    if (!token) return leave("It was opened without its address.");
    await showAll(true);
    return follow();
  }

  begin().catch(() => leave("The desk does not answer; it may have ended."));
})();
