/* What this device keeps: only what the reader ticks, and it can be forgotten at once. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  /* Stops stand apart, since "Forget on this device" ends none that calls for help. */
  const nameOf = (id, name) => (name === "stop" ? "stop." + id : "portal." + id + "." + name);

  /* A portal's own corner of the browser's storage. */
  function corner(id) {
    return {
      get(name) {
        try {
          return world.localStorage.getItem(nameOf(id, name));
        } catch (error) {
          return null;
        }
      },
      set(name, value) {
        try {
          world.localStorage.setItem(nameOf(id, name), value);
          return true;
        } catch (error) {
          return false;
        }
      },
      drop(name) {
        try {
          world.localStorage.removeItem(nameOf(id, name));
        } catch (error) {
          // nothing was kept
        }
      },
    };
  }

  /* All that stands in that corner, the copy for times without a connection, and its worker. */
  async function forget(id) {
    try {
      const mine = "portal." + id + ".";
      for (const store of [world.localStorage, world.sessionStorage])
        for (const name of Object.keys(store)) if (name.startsWith(mine)) store.removeItem(name);
    } catch (error) {
      // storage is switched off, so nothing was kept
    }
    try {
      if (world.caches)
        for (const name of await world.caches.keys())
          if (name.includes(id)) await world.caches.delete(name);
      const workers = world.navigator.serviceWorker;
      if (workers)
        for (const worker of await workers.getRegistrations())
          if (worker.scope.includes(id)) await worker.unregister();
    } catch (error) {
      // from disk there are neither
    }
  }

  /* True where a check-in was begun and not let go; `kept` is the record of checkin/record.js. */
  function hasUnsent(kept) {
    try {
      const { drafts, morning } = JSON.parse(kept || "{}");
      return Boolean(morning) || Object.keys(drafts || {}).length > 0;
    } catch (error) {
      return false;
    }
  }

  parts.device = { corner, nameOf, forget, hasUnsent };
})(typeof self === "undefined" ? globalThis : self);
