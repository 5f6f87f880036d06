// What is kept on the phone: jobs, their pictures, and the queue of actions. One database, every write a transaction.

/**
 * @typedef {import("./job.js").Entry} Entry
 *
 * @typedef {object} Kept one job's record
 * @property {string} token
 * @property {string} device this phone's own name
 * @property {number} sequence the number of this phone's last action
 * @property {{ kind: string, placement: number | null, why: string }[]} refused actions that the office did not take
 * @property {{ placement: number | null, text: string }[]} said what the office said of actions that it took
 * @property {import("./job.js").Job} [job]
 * @property {string} [fetched] when
 * @property {string} [gone] why the link does not open any more
 */

const NAME = "hanging";
/** @type {Promise<IDBDatabase> | undefined} */
let opened;

/** @returns {Promise<IDBDatabase>} */
function open() {
  opened ??= new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => {
      const db = request.result;
      db.createObjectStore("jobs", { keyPath: "token" });
      db.createObjectStore("pictures", { keyPath: "key" });
      db.createObjectStore("queue", { keyPath: "id", autoIncrement: true });
    };
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
  return opened;
}

/**
 * @template T
 * @param {IDBRequest<T>} request
 * @returns {Promise<T>}
 */
function done(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/**
 * @param {IDBTransaction} transaction
 * @returns {Promise<void>}
 */
function finished(transaction) {
  return new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onerror = () => reject(transaction.error);
    transaction.onabort = () => reject(transaction.error ?? new Error("The phone's storage is full."));
  });
}

/**
 * @param {("jobs" | "pictures" | "queue")[]} names
 * @param {"readonly" | "readwrite"} mode
 */
async function stores(names, mode) {
  const transaction = (await open()).transaction(names, mode);
  return { transaction, store: (/** @type {"jobs" | "pictures" | "queue"} */ name) => transaction.objectStore(name) };
}

/** @param {IDBObjectStore} queue @returns {Promise<Entry[]>} */
const entries = (queue) => done(queue.getAll());

function randomHex() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

function uuid() {
  const hex = [...randomHex()];
  hex[12] = "4";
  hex[16] = "89ab"[parseInt(hex[16], 16) & 3];
  return hex.join("").replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

/** @returns {Promise<Kept[]>} */
export async function jobs() {
  const { store } = await stores(["jobs"], "readonly");
  return done(store("jobs").getAll());
}

/**
 * @param {string} token
 * @returns {Promise<Kept | undefined>}
 */
export async function job(token) {
  const { store } = await stores(["jobs"], "readonly");
  return done(store("jobs").get(token));
}

/**
 * Change one job's record; a new one starts with this phone's own name and no actions.
 * @param {string} token
 * @param {(kept: Kept) => void} edit
 */
export async function change(token, edit) {
  const { transaction, store } = await stores(["jobs"], "readwrite");
  /** @type {Kept} */
  const kept = (await done(store("jobs").get(token))) ?? { token, device: randomHex(), sequence: 0, refused: [], said: [] };
  edit(kept);
  store("jobs").put(kept);
  await finished(transaction);
  return kept;
}

/**
 * Take a job, its queue and its pictures off the phone.
 * @param {string} token
 */
export async function forget(token) {
  const { transaction, store } = await stores(["jobs", "queue", "pictures"], "readwrite");
  store("jobs").delete(token);
  for (const entry of await entries(store("queue"))) if (entry.token === token) store("queue").delete(entry.id);
  for (const key of await done(store("pictures").getAllKeys())) {
    if (String(key).startsWith(`${token}/`)) store("pictures").delete(key);
  }
  await finished(transaction);
}

/**
 * Put an action in the queue. Its number and its place in the queue are given in one transaction.
 * @param {string} token
 * @param {import("./job.js").Wish} action
 * @param {Blob | null} [photo]
 */
export async function enqueue(token, action, photo) {
  const { transaction, store } = await stores(["jobs", "queue"], "readwrite");
  /** @type {Kept} */
  const kept = await done(store("jobs").get(token));
  kept.sequence += 1;
  store("jobs").put(kept);
  store("queue").add({
    token,
    photo: photo ?? null,
    action: { ...action, uuid: uuid(), device: kept.device, sequence: kept.sequence, done_at: new Date().toISOString() },
  });
  await finished(transaction);
}

/**
 * What waits to be sent, in order.
 * @param {string} token
 */
export async function waiting(token) {
  const { store } = await stores(["queue"], "readonly");
  return (await entries(store("queue"))).filter((entry) => entry.token === token);
}

/** @param {number} id */
export async function unqueue(id) {
  const { transaction, store } = await stores(["queue"], "readwrite");
  store("queue").delete(id);
  await finished(transaction);
}

/**
 * Number the waiting actions anew from `expected`, in their order.
 * @param {string} token
 * @param {number} expected
 */
export async function renumber(token, expected) {
  const { transaction, store } = await stores(["jobs", "queue"], "readwrite");
  let next = expected;
  for (const entry of await entries(store("queue"))) {
    if (entry.token !== token) continue;
    entry.action.sequence = next;
    next += 1;
    store("queue").put(entry);
  }
  /** @type {Kept} */
  const kept = await done(store("jobs").get(token));
  kept.sequence = next - 1;
  store("jobs").put(kept);
  await finished(transaction);
}

/**
 * @param {string} token
 * @param {string} key
 * @returns {Promise<Blob | undefined>}
 */
export async function picture(token, key) {
  const { store } = await stores(["pictures"], "readonly");
  return (await done(store("pictures").get(`${token}/${key}`)))?.blob;
}

/**
 * @param {string} token
 * @param {string} key
 * @param {Blob} blob
 */
export async function keepPicture(token, key, blob) {
  const { transaction, store } = await stores(["pictures"], "readwrite");
  store("pictures").put({ key: `${token}/${key}`, blob });
  await finished(transaction);
}
