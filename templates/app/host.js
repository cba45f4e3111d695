/* What a page can notice of its host: that it gives an older plan than before, and that other
   people's pages share its origin. Neither is held against the host; the reader is told. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const { stampOf } = parts.text;

  /* Whether this plan is older than one that was opened here before; `keep` is the portal's corner
     of the browser's storage, `stamp` the plan's, "2027-02-09 0001". The newest is remembered; a day
     alone, as it was kept once, is older than each plan of that day. */
  function isOlder(keep, stamp) {
    const newest = keep.get("newest") || "";
    if (newest > stamp) return true;
    if (newest !== stamp) keep.set("newest", stamp);
    return false;
  }

  /* Whether the site lies below a path of its host, so that what else lies there may be a stranger's
     and read what is kept here. From disk there is no host. */
  function isShared({ protocol, pathname }, portal) {
    const [above] = pathname.split("/" + portal + "/");
    return /^https?:$/.test(protocol) && above !== "" && above !== pathname;
  }

  function look(portal) {
    const show = (name) => {
      const words = world.document.querySelector("[data-host=" + name + "]");
      if (words) words.hidden = false; // not there where the coach has all of the host
    };
    // The coach's preview shows plans of any day.
    const isPreview = world.document.querySelector('script[src^="/_preview"]');
    if (!isPreview && isOlder(portal.keep, stampOf(portal.data))) show("older");
    if (isShared(world.location, portal.id)) show("shared");
  }

  parts.host = { isOlder, isShared, look };
})(typeof self === "undefined" ? globalThis : self);
