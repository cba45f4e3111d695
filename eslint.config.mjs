/* Rules for the page's scripts: what eslint's own list of likely errors finds, and a few more.
   `make lint` runs it, and fails on any finding. The scripts are classic ones, each in a function
   of its own, so whatever is not declared in the file has to be named here or is a slip. */
import js from "@eslint/js";
import globals from "globals";

const rules = {
  ...js.configs.recommended.rules,
  eqeqeq: "error",
  "no-implicit-globals": "error",
  "no-unused-vars": ["error", { args: "after-used", caughtErrors: "none" }],
  "no-use-before-define": ["error", { functions: false, variables: false }],
  "no-var": "error",
  "object-shorthand": ["error", "properties"],
  "prefer-const": "error",
  "no-eval": "error",
  "no-implied-eval": "error",
  "no-new-func": "error",
  radix: "error",
  "no-throw-literal": "error",
};
const script = { ecmaVersion: 2020, sourceType: "script" };
const linterOptions = { reportUnusedDisableDirectives: "error" };

export default [
  { ignores: ["node_modules/", "public/", ".venv/"] },
  {
    files: ["templates/**/*.js", "sitegen/portal/views/**/*.js"],
    languageOptions: { ...script, globals: globals.browser },
    linterOptions,
    rules,
  },
  {
    files: ["templates/worker.js"],
    languageOptions: { ...script, globals: globals.serviceworker },
    linterOptions,
    rules: { ...rules, "no-implicit-globals": "off" }, // its global scope is its own
  },
  {
    files: ["templates/listening.js"], // loaded by an audio graph, which has no window
    languageOptions: { ...script, globals: globals.audioWorklet },
    linterOptions,
    rules,
  },
  {
    files: ["tests/js/*.js"],
    languageOptions: { ...script, sourceType: "commonjs", globals: globals.node },
    linterOptions,
    rules,
  },
  {
    files: ["tests/js/measure.js"],
    languageOptions: { ...script, globals: { ...globals.browser, portalParts: "readonly" } },
    linterOptions,
    rules,
  },
  {
    files: ["tests/js/listener.js"],
    languageOptions: { ...script, globals: globals.audioWorklet },
    linterOptions,
    rules,
  },
];
