/* Loads scripts of the portal's views into this process; what they give is in `portalParts`. */
"use strict";

const path = require("node:path");

const ROOT = path.join(__dirname, "..", "..");

function load(...files) {
  require(path.join(ROOT, "templates", "app", "text.js"));
  for (const file of files) require(path.join(ROOT, "sitegen", "portal", "views", file));
}

module.exports = { ROOT, load };
