// Parts of the page, found by selector and known by kind.

/**
 * @template {Element} [T=HTMLElement]
 * @typedef {{ new (): T, prototype: T }} Kind a class of elements
 */

/**
 * The first part within `root` that `selector` names, or null where there is none of that kind.
 * @template {Element} [T=HTMLElement]
 * @param {ParentNode} root
 * @param {string} selector
 * @param {Kind<T>} [kind]
 * @returns {T | null}
 */
export function find(root, selector, kind) {
  const node = root.querySelector(selector);
  return node instanceof (kind ?? HTMLElement) ? /** @type {T} */ (node) : null;
}

/**
 * The same, of a part that the page cannot do without.
 * @template {Element} [T=HTMLElement]
 * @param {ParentNode} root
 * @param {string} selector
 * @param {Kind<T>} [kind]
 * @returns {T}
 */
export function need(root, selector, kind) {
  const node = find(root, selector, kind);
  if (!node) throw new Error(`the page has no ${(kind ?? HTMLElement).name} “${selector}”`);
  return node;
}

/**
 * All parts of that kind within `root`, in the page's order.
 * @template {Element} [T=HTMLElement]
 * @param {ParentNode} root
 * @param {string} selector
 * @param {Kind<T>} [kind]
 * @returns {T[]}
 */
export function all(root, selector, kind) {
  const nodes = /** @type {unknown[]} */ ([...root.querySelectorAll(selector)]);
  return /** @type {T[]} */ (nodes.filter((node) => node instanceof (kind ?? HTMLElement)));
}

/**
 * What an event came to, or the nearest part around it, that `selector` names.
 * @template {Element} [T=HTMLElement]
 * @param {Event} event
 * @param {string} selector
 * @param {Kind<T>} [kind]
 * @returns {T | null}
 */
export function around(event, selector, kind) {
  const node = event.target instanceof Element ? event.target.closest(selector) : null;
  return node instanceof (kind ?? HTMLElement) ? /** @type {T} */ (node) : null;
}

/**
 * A field of a form, by its name.
 * @template {Element} [T=HTMLInputElement]
 * @param {HTMLFormElement} form
 * @param {string} name
 * @param {Kind<T>} [kind]
 * @returns {T}
 */
export function field(form, name, kind) {
  const found = form.elements.namedItem(name);
  if (!(found instanceof (kind ?? HTMLInputElement))) throw new Error(`the form has no field “${name}”`);
  return /** @type {T} */ (/** @type {unknown} */ (found));
}
