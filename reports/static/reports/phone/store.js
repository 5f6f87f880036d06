// What is kept on the phone: jobs, their pictures, the queue of actions, and what is typed but not recorded. One database,
// every write a transaction. A job is kept once, by the office's number of it, whatever links opened it.

/**
 * @typedef {import("./job.js").Entry} Entry
 *
 * @typedef {object} Kept one job's record
 * @property {number} id the office's number of the job
 * @property {string[]} links its links on this phone, the one that opened it last first
 * @property {string} device this phone's own name
 * @property {number} sequence the number of this phone's last action
 * @property {{ placement: number | null, text: string }[]} said what the office said of actions that it took
 * @property {import("./job.js").Job} job
 * @property {string} fetched when
 * @property {Record<string, Floor>} [floors] where the floor is not level, by the wall's name
 * @property {string} [gone] why no link opens it any more
 *
 * @typedef {Record<string, string | Blob>} Draft what is typed and chosen in a form, by the fields' names
 * @typedef {{ left_mm: number, right_mm: number }} Floor from the level line down to the floor at the wall's ends
 * @typedef {"jobs" | "pictures" | "queue" | "drafts"} Name
 */

const NAME = "hanging";
/** @type {Promise<IDBDatabase> | undefined} */
let opened;

/** @returns {Promise<IDBDatabase>} */
function open() {
  opened ??= new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, 2);
    request.onupgradeneeded = () => {
      const db = request.result;
      for (const former of [...db.objectStoreNames]) db.deleteObjectStore(former);
      db.createObjectStore("jobs", { keyPath: "id" });
      db.createObjectStore("pictures", { keyPath: "key" });
      db.createObjectStore("queue", { keyPath: "id", autoIncrement: true });
      db.createObjectStore("drafts", { keyPath: "key" });
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
 * @param {Name[]} names
 * @param {"readonly" | "readwrite"} mode
 */
async function stores(names, mode) {
  const transaction = (await open()).transaction(names, mode);
  return { transaction, store: (/** @type {Name} */ name) => transaction.objectStore(name) };
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
 * @param {number} id
 * @returns {Promise<Kept | undefined>}
 */
export async function job(id) {
  const { store } = await stores(["jobs"], "readonly");
  return done(store("jobs").get(id));
}

/**
 * The job that a link opened before on this phone.
 * @param {string} link
 */
export async function byLink(link) {
  return (await jobs()).find(({ links }) => links.includes(link));
}

/**
 * Keep what a link opened: the job as it is now. What waits of it goes with this link from now on.
 * @param {string} link
 * @param {import("./job.js").Job} now
 * @returns {Promise<Kept>}
 */
export async function adopt(link, now) {
  const { transaction, store } = await stores(["jobs"], "readwrite");
  const id = now.facts.job;
  /** @type {Kept} */
  const kept = (await done(store("jobs").get(id))) ?? { id, links: [], device: randomHex(), sequence: 0, said: [], job: now, fetched: "" };
  kept.links = [link, ...kept.links.filter((each) => each !== link)];
  kept.job = now;
  kept.sequence = Math.max(kept.sequence, now.sequences[kept.device] ?? 0);
  kept.fetched = new Date().toISOString();
  kept.gone = "";
  store("jobs").put(kept);
  await finished(transaction);
  return kept;
}

/**
 * Change one job's record.
 * @param {number} id
 * @param {(kept: Kept) => void} edit
 */
export async function change(id, edit) {
  const { transaction, store } = await stores(["jobs"], "readwrite");
  /** @type {Kept} */
  const kept = await done(store("jobs").get(id));
  edit(kept);
  store("jobs").put(kept);
  await finished(transaction);
  return kept;
}

/**
 * Take a job, its queue, its pictures and what is typed in it off the phone.
 * @param {number} id
 */
export async function forget(id) {
  const { transaction, store } = await stores(["jobs", "queue", "pictures", "drafts"], "readwrite");
  store("jobs").delete(id);
  for (const entry of await entries(store("queue"))) if (entry.job === id) store("queue").delete(entry.id);
  for (const name of /** @type {Name[]} */ (["pictures", "drafts"])) {
    for (const key of await done(store(name).getAllKeys())) if (String(key).startsWith(`${id}/`)) store(name).delete(key);
  }
  await finished(transaction);
}

/**
 * Put an action in the queue. Its number and its place in the queue are given in one transaction.
 * @param {number} id the job's
 * @param {import("./job.js").Wish} action
 * @param {Blob | null} [photo]
 */
export async function enqueue(id, action, photo) {
  const { transaction, store } = await stores(["jobs", "queue"], "readwrite");
  /** @type {Kept} */
  const kept = await done(store("jobs").get(id));
  kept.sequence += 1;
  store("jobs").put(kept);
  store("queue").add({
    job: id,
    photo: photo ?? null,
    failures: 0,
    action: { ...action, uuid: uuid(), device: kept.device, sequence: kept.sequence, done_at: new Date().toISOString() },
  });
  await finished(transaction);
}

/**
 * All that is on the phone of a job and not at the office, in order.
 * @param {number} id
 */
export async function unsent(id) {
  const { store } = await stores(["queue"], "readonly");
  return (await entries(store("queue"))).filter((entry) => entry.job === id);
}

/**
 * What waits to be sent, in order.
 * @param {number} id
 */
export async function waiting(id) {
  return (await unsent(id)).filter((entry) => !entry.refused);
}

/**
 * What the office did not take, with its reason.
 * @param {number} id
 */
export async function refused(id) {
  return (await unsent(id)).filter((entry) => entry.refused);
}

/**
 * @param {number} entry
 * @param {(entry: Entry) => void} edit
 */
async function edited(entry, edit) {
  const { transaction, store } = await stores(["queue"], "readwrite");
  /** @type {Entry} */
  const found = await done(store("queue").get(entry));
  if (found) edit(found);
  if (found) store("queue").put(found);
  await finished(transaction);
  return found;
}

/**
 * Count that the office broke down over an action; how often it has.
 * @param {number} entry
 */
export async function failed(entry) {
  return (await edited(entry, (found) => { found.failures += 1; })).failures;
}

/**
 * An action that the office does not take stays on the phone, with the reason.
 * @param {number} entry
 * @param {string} why
 */
export function setAside(entry, why) {
  return edited(entry, (found) => { found.refused = why; });
}

/**
 * Send what was set aside once more: after all that waits, under the name that it had.
 * @param {number} entry
 * @param {Blob | null} photo
 */
export async function again(entry, photo) {
  const { transaction, store } = await stores(["jobs", "queue"], "readwrite");
  /** @type {Entry} */
  const found = await done(store("queue").get(entry));
  /** @type {Kept} */
  const kept = await done(store("jobs").get(found.job));
  kept.sequence += 1;
  store("jobs").put(kept);
  store("queue").delete(entry);
  store("queue").add({ job: found.job, photo, failures: 0, action: { ...found.action, sequence: kept.sequence } });
  await finished(transaction);
}

/** @param {number} entry */
export async function unqueue(entry) {
  const { transaction, store } = await stores(["queue"], "readwrite");
  store("queue").delete(entry);
  await finished(transaction);
}

/**
 * Number the waiting actions anew from `expected`, in their order.
 * @param {number} id the job's
 * @param {number} expected
 */
export async function renumber(id, expected) {
  const { transaction, store } = await stores(["jobs", "queue"], "readwrite");
  let next = expected;
  for (const entry of await entries(store("queue"))) {
    if (entry.job !== id || entry.refused) continue;
    entry.action.sequence = next;
    next += 1;
    store("queue").put(entry);
  }
  /** @type {Kept} */
  const kept = await done(store("jobs").get(id));
  kept.sequence = next - 1;
  store("jobs").put(kept);
  await finished(transaction);
}

/**
 * @param {number} id
 * @param {string} key
 * @returns {Promise<Blob | undefined>}
 */
export async function picture(id, key) {
  const { store } = await stores(["pictures"], "readonly");
  return (await done(store("pictures").get(`${id}/${key}`)))?.blob;
}

/**
 * @param {number} id
 * @param {string} key
 * @param {Blob} blob
 */
export async function keepPicture(id, key, blob) {
  const { transaction, store } = await stores(["pictures"], "readwrite");
  store("pictures").put({ key: `${id}/${key}`, blob });
  await finished(transaction);
}

/**
 * What is typed in each form of a job, by the form's name.
 * @param {number} id
 * @returns {Promise<Map<string, Draft>>}
 */
export async function drafts(id) {
  const { store } = await stores(["drafts"], "readonly");
  /** @type {{ key: string, draft: Draft }[]} */
  const all = await done(store("drafts").getAll());
  const own = all.filter(({ key }) => key.startsWith(`${id}/`));
  return new Map(own.map(({ key, draft }) => [key.slice(`${id}/`.length), draft]));
}

/**
 * Keep what is typed in a form; nothing of one that is empty.
 * @param {number} id
 * @param {string} name the form's
 * @param {Draft} draft
 */
export async function keepDraft(id, name, draft) {
  const { transaction, store } = await stores(["drafts"], "readwrite");
  const key = `${id}/${name}`;
  if (Object.keys(draft).length) store("drafts").put({ key, draft });
  else store("drafts").delete(key);
  await finished(transaction);
}
