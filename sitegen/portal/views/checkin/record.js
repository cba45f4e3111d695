/* What the device keeps of check-ins, in localStorage as one record, "portal.ID.checkin": drafts by
   session, and of what was sent the little that the next morning's question needs. Pure: the store
   is given. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const { addDays } = parts.text;

  const DAYS_BACK = 6; // sessions this old can still be told about
  const KEEP_TEXT_DAYS = 2; // how long a sent message stays on the device

  /* The run of yesterday that was sent and still lacks its next morning, or null. */
  function morningAsked(sent, today) {
    const yesterday = addDays(today, -1);
    const those = Object.values(sent).filter((one) => one.on === yesterday && one.ran);
    return those.length && those.every((one) => one.morning === undefined) ? yesterday : null;
  }

  function emptyRecord() {
    return { drafts: {}, sent: {}, open: "" };
  }

  function loadRecord(store, key) {
    try {
      const read = JSON.parse(store.getItem(key));
      return Object.assign(emptyRecord(), read && typeof read === "object" ? read : {});
    } catch (error) {
      return emptyRecord();
    }
  }

  /* False where the browser keeps nothing. */
  function saveRecord(store, key, record) {
    try {
      store.setItem(key, JSON.stringify(record));
      return true;
    } catch (error) {
      return false;
    }
  }

  /* What is no longer needed goes. */
  function pruned(record, today) {
    const sent = {};
    for (const key of Object.keys(record.sent)) {
      const one = Object.assign({}, record.sent[key]);
      if (one.on < addDays(today, -DAYS_BACK)) continue;
      if (one.on < addDays(today, -KEEP_TEXT_DAYS)) delete one.text;
      sent[key] = one;
    }
    return Object.assign({}, record, { sent });
  }

  parts.checkin = Object.assign(parts.checkin || {}, {
    morningAsked, loadRecord, saveRecord, emptyRecord, pruned, DAYS_BACK,
  });
})(typeof self === "undefined" ? globalThis : self);
