// What is kept on the phone: jobs, their pictures, and the queue of actions. One database, every write a transaction.

const NAME = "hanging";
let opened;

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

function done(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

function finished(transaction) {
  return new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onerror = transaction.onabort = () => reject(transaction.error ?? new Error("The phone's storage is full."));
  });
}

async function stores(names, mode) {
  const transaction = (await open()).transaction(names, mode);
  return { transaction, store: (name) => transaction.objectStore(name) };
}

export function name() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

function uuid() {
  const hex = [...name()];
  hex[12] = "4";
  hex[16] = "89ab"[parseInt(hex[16], 16) & 3];
  return hex.join("").replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

export async function jobs() {
  const { store } = await stores(["jobs"], "readonly");
  return done(store("jobs").getAll());
}

export async function job(token) {
  const { store } = await stores(["jobs"], "readonly");
  return done(store("jobs").get(token));
}

// Change one job's record; a new one starts with this phone's own name and no actions.
export async function change(token, edit) {
  const { transaction, store } = await stores(["jobs"], "readwrite");
  const kept = (await done(store("jobs").get(token))) ?? { token, device: name(), sequence: 0, refused: [], said: [] };
  edit(kept);
  store("jobs").put(kept);
  await finished(transaction);
  return kept;
}

export async function forget(token) {
  const { transaction, store } = await stores(["jobs", "queue", "pictures"], "readwrite");
  store("jobs").delete(token);
  for (const action of await done(store("queue").getAll())) if (action.token === token) store("queue").delete(action.id);
  for (const key of await done(store("pictures").getAllKeys())) if (key.startsWith(`${token}/`)) store("pictures").delete(key);
  await finished(transaction);
}

// Put an action in the queue. Its number and its place in the queue are given in one transaction.
export async function enqueue(token, action, photo) {
  const { transaction, store } = await stores(["jobs", "queue"], "readwrite");
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

export async function waiting(token) {
  const { store } = await stores(["queue"], "readonly");
  return (await done(store("queue").getAll())).filter((entry) => entry.token === token);
}

export async function unqueue(id) {
  const { transaction, store } = await stores(["queue"], "readwrite");
  store("queue").delete(id);
  await finished(transaction);
}

// Number the waiting actions anew from `expected`, in their order.
export async function renumber(token, expected) {
  const { transaction, store } = await stores(["jobs", "queue"], "readwrite");
  let next = expected;
  for (const entry of await done(store("queue").getAll())) {
    if (entry.token !== token) continue;
    entry.action.sequence = next;
    next += 1;
    store("queue").put(entry);
  }
  const kept = await done(store("jobs").get(token));
  kept.sequence = next - 1;
  store("jobs").put(kept);
  await finished(transaction);
}

export async function picture(token, key) {
  const { store } = await stores(["pictures"], "readonly");
  return (await done(store("pictures").get(`${token}/${key}`)))?.blob;
}

export async function keepPicture(token, key, blob) {
  const { transaction, store } = await stores(["pictures"], "readwrite");
  store("pictures").put({ key: `${token}/${key}`, blob });
  await finished(transaction);
}
