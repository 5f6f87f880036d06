// Finds the pages' scripts as the site serves them: one folder `static/` that holds the folders of all apps.
// `node --import=./tests/scripts/served.js` makes `static/studio/lengths.js` mean what a page means by it.

import { existsSync } from "node:fs";
import { registerHooks } from "node:module";

const ROOTS = ["studio", "placements", "reports"].map((app) => new URL(`../../${app}/static/`, import.meta.url));

function served(specifier, parent) {
  if (specifier.startsWith("static/")) return specifier.slice("static/".length);
  const root = ROOTS.find(({ href }) => parent?.startsWith(href));
  if (!root || !specifier.startsWith(".")) return null;
  return new URL(specifier, parent.replace(root.href, "file:///")).pathname.slice(1);
}

registerHooks({
  resolve(specifier, context, nextResolve) {
    const address = served(specifier, context.parentURL);
    if (address === null) return nextResolve(specifier, context);
    const file = ROOTS.map((root) => new URL(address, root)).find((each) => existsSync(each));
    if (!file) throw new Error(`no app serves ${address}`);
    return { url: file.href, format: "module", shortCircuit: true };
  },
});
