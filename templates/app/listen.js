/* Asks for Listen, which comes as one file: the same for all clients, and asked for by all of them, so
   that asking tells nothing of anybody. Runs by itself when it comes, after the page is ready. */
"use strict";

(function (world) {
  const { document: doc, portal } = world;
  if (!doc || !portal || !portal.policy) return; // not in a page of its own

  function load() {
    const script = doc.createElement("script");
    script.addEventListener("load", () => {
      const view = doc.querySelector("[data-beat]"); // not there where nothing may be run
      if (view) world.portalParts.listen.init(view, portal);
    });
    script.addEventListener("error", () => {
      script.remove();
      doc.addEventListener("portal:shown", load, { once: true });
    });
    script.src = portal.policy.createScriptURL(doc.documentElement.dataset.laterListen);
    doc.head.append(script);
  }
  load();
})(typeof self === "undefined" ? globalThis : self);
