/* What this phone keeps until the gym's server has it: one store, in the order in which it was said. */

/* When a page from this phone's store was asked for; 0 on one that came from the server now. */
export const copiedAt = Number(document.querySelector('meta[name="kept-at"]')?.content ?? 0);

function opened() {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open("floorward", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore("kept", { keyPath: "seq", autoIncrement: true });
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
}

async function work(mode, step) {
  const base = await opened();
  try {
    return await new Promise((resolve, reject) => {
      const transaction = base.transaction("kept", mode, { durability: "strict" });
      const request = step(transaction.objectStore("kept"));
      transaction.oncomplete = () => resolve(request.result);
      transaction.onabort = () => reject(transaction.error);
    });
  } finally {
    base.close();
  }
}

/* Keep an entry; an entry that it answers goes in the same moment. Gives the entry's place in the order. */
export function keep(entry, instead) {
  return work("readwrite", (store) => {
    if (instead) store.delete(instead);
    return store.add(entry);
  });
}

export const entries = () => work("readonly", (store) => store.getAll());
export const drop = (seq) => work("readwrite", (store) => store.delete(seq));
export const mark = (entry) => work("readwrite", (store) => store.put(entry));

/* A name that no other phone makes. (randomUUID is not there on plain http.) */
export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(12));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}
