/* What a page can notice of its host: that it gives an older plan than before, and that other
   people's pages share its origin. Neither is held against the host; the reader is told. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  /* Whether this plan is older than one that was opened here before; `keep` is the portal's corner
     of the browser's storage, `day` the plan's, "2027-02-09". The newest is remembered. */
  function isOlder(keep, day) {
    const newest = keep.get("newest") || "";
    if (newest > day) return true;
    if (newest !== day) keep.set("newest", day);
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
      world.document.querySelector("[data-host=" + name + "]").hidden = false;
    };
    // The coach's preview shows plans of any day.
    const isPreview = world.document.querySelector('script[src^="/_preview"]');
    if (!isPreview && isOlder(portal.keep, portal.data.as_of)) show("older");
    if (isShared(world.location, portal.id)) show("shared");
  }

  parts.host = { isOlder, isShared, look };
})(typeof self === "undefined" ? globalThis : self);
