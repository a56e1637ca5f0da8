// What waits on this device: a small store in the browser that outlasts a closed window.
const PLACE = "entries";
let opening;

function opened() {
  opening ??= new Promise((kept, failed) => {
    const asked = indexedDB.open("watervane-outbox", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(PLACE, { keyPath: "key" });
    asked.onsuccess = () => kept(asked.result);
    asked.onerror = () => failed(asked.error);
  });
  return opening;
}

async function through(mode, work) {
  const store = (await opened()).transaction(PLACE, mode, { durability: "strict" });
  return new Promise((done, failed) => {
    const asked = work(store.objectStore(PLACE));
    store.oncomplete = () => done(asked.result);
    store.onabort = () => failed(store.error);
  });
}

export const put = (item) => through("readwrite", (store) => store.put(item));
export const drop = (key) => through("readwrite", (store) => store.delete(key));
export const read = (key) => through("readonly", (store) => store.get(key));

export async function all() {
  const found = await through("readonly", (store) => store.getAll());
  return found.sort((one, other) => one.since - other.since);
}
