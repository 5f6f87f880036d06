// What the linter asks of every script: the pages', and the tests of them.

import js from "@eslint/js";
import globals from "globals";

const rules = {
  ...js.configs.recommended.rules,
  complexity: ["error", 15],
  curly: ["error", "multi-line"],
  eqeqeq: "error",
  "max-len": ["error", { code: 140, ignoreUrls: true }],
  "no-console": "error",
  "no-eval": "error",
  "no-implicit-globals": "error",
  "no-implied-eval": "error",
  "no-shadow": "error",
  "no-throw-literal": "error",
  "no-unused-vars": ["error", { args: "after-used" }],
  "no-use-before-define": ["error", { functions: false, classes: false, variables: false }],
  "no-var": "error",
  "object-shorthand": "error",
  "prefer-const": "error",
};

export default [
  { ignores: [".venv/", "var/", "**/node_modules/"] },
  {
    files: ["*/static/**/*.js"],
    languageOptions: { ecmaVersion: 2024, sourceType: "module", globals: { ...globals.browser, htmx: "readonly" } },
    linterOptions: { reportUnusedDisableDirectives: "error" },
    rules,
  },
  {
    files: ["templates/**/*.js"],
    languageOptions: { ecmaVersion: 2024, sourceType: "script", globals: globals.serviceworker },
    rules: { ...rules, "no-implicit-globals": "off" },
  },
  {
    files: ["tests/scripts/*.js"],
    languageOptions: { ecmaVersion: 2024, sourceType: "module", globals: globals.node },
    rules,
  },
];
