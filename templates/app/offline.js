/* The page's side of the offline copy: registers worker.js for this portal's folder, says when a
   newer plan has come, and offers the page to the home screen. From disk and over plain http there
   is no worker; in the preview there is none on purpose. The page works the same without. */
"use strict";

(function () {
  const LOOK_MINUTES = 10; // between two looks at the host while the page stays open; no source

  function init(portal) {
    if (window.origin === "null") return; // in the desk's frame, where even asking is an error
    const page = document.documentElement;
    const workers = navigator.serviceWorker;
    const home = new URL("./", location.href);
    if (!workers || !home.pathname.endsWith("/" + portal.id + "/")) return;
    if (document.querySelector('script[src^="/_preview"]')) return; // it would go on showing an old build
    let looked = Date.now();
    let told = "";

    function tell(name) {
      if (told === "newer") return; // nothing is newer than that
      told = name;
      for (const part of document.querySelectorAll("[data-news]"))
        part.hidden = part.dataset.news !== name;
    }

    workers.addEventListener("message", ({ data }) => {
      if (portal.forgotten) return;
      const isOlder = document.querySelector("[data-host=older]:not([hidden])"); // than one before it
      if (data.built !== page.dataset.built) tell("newer");
      else if (data.fresh && !isOlder) tell("fresh");
    });
    workers.startMessages();
    document.getElementById("reload").addEventListener("click", () => location.reload());

    function look(where) {
      if (workers.controller && !portal.forgotten) workers.controller.postMessage({ look: where });
    }

    document.addEventListener("visibilitychange", () => {
      if (document.hidden || Date.now() - looked < LOOK_MINUTES * 60000) return;
      looked = Date.now();
      look("host");
    });

    const address = portal.policy.createScriptURL(page.dataset.worker);
    workers.register(address, { scope: home.pathname, updateViaCache: "none" }).then(
      () => {
        offerHomeScreen();
        look("kept");
        return workers.ready.then(() => { page.dataset.kept = ""; });
      },
      () => {} // no worker here: the page needs its host each time
    );

    function offerHomeScreen() {
      const links = { manifest: "plan.webmanifest", "apple-touch-icon": page.dataset.icon };
      for (const rel of Object.keys(links)) {
        const link = document.createElement("link");
        link.rel = rel;
        link.crossOrigin = "use-credentials"; // some hosts ask for a name and a password
        link.href = links[rel];
        document.head.append(link);
      }
      for (const part of document.querySelectorAll("[data-for=offline]")) part.hidden = false;
    }
  }

  window.portalOffline = { init };
})();
