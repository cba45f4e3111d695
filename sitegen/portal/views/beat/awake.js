/* Keeps the screen on while something runs. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  /* `tell(name)` is told when it can't. */
  function screenKeeper(tell) {
    let lock = null;
    let wanted = false;
    async function hold() {
      if (!wanted || lock || world.document.hidden) return;
      if (!world.navigator.wakeLock) {
        tell("awake-cannot");
        return;
      }
      try {
        const got = await world.navigator.wakeLock.request("screen");
        if (!wanted) {
          got.release();
          return;
        }
        lock = got;
        got.addEventListener("release", () => { lock = null; });
        tell("awake");
      } catch (error) {
        tell("awake-refused");
      }
    }
    world.document.addEventListener("visibilitychange", hold);
    return {
      on() { wanted = true; hold(); },
      off() {
        wanted = false;
        if (lock) lock.release();
        lock = null;
        tell("");
      },
    };
  }

  parts.beat = Object.assign(parts.beat || {}, { screenKeeper });
})(typeof self === "undefined" ? globalThis : self);
