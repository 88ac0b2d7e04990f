/* Keeps what is noted in the browser: a list that only grows, on the disk before it counts as kept. No map here. */
"use strict";
const NoteStore = (() => {
  const NAME = "hushwalk-notes", TABLE = "entries";
  const copyName = walk => `${NAME}:${walk}`;
  const ask = request => new Promise((done, failed) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });
  function openDatabase() {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => request.result.createObjectStore(TABLE, { keyPath: "id" }).createIndex("walk", "walk");
    return ask(request);
  }
  function strictWrite(database, entries) {
    return new Promise((done, failed) => {
      const write = database.transaction(TABLE, "readwrite", { durability: "strict" });
      write.oncomplete = done;
      write.onabort = write.onerror = () => failed(write.error);
      entries.forEach(entry => write.objectStore(TABLE).put(entry));
    });
  }
  function readCopy(walk) {
    try { return JSON.parse(localStorage.getItem(copyName(walk))) || []; } catch { return []; }
  }
  function writeCopy(walk, entry) {
    try {
      localStorage.setItem(copyName(walk), JSON.stringify([...readCopy(walk).filter(old => old.id !== entry.id), entry]));
      return true;
    } catch { return false; }
  }

  /* Opens the entries of one walk: { entries, add, safe }. An entry counts once one of the two places has it. */
  async function open(walk) {
    let database = null, kept = [];
    try {
      database = await openDatabase();
      kept = await ask(database.transaction(TABLE).objectStore(TABLE).index("walk").getAll(walk));
    } catch { database = null; }
    const known = new Map([...readCopy(walk), ...kept].map(entry => [entry.id, entry]));
    const entries = [...known.values()].sort((a, b) => a.order - b.order || (a.id < b.id ? -1 : 1));
    const missing = entries.filter(entry => !kept.some(other => other.id === entry.id));
    if (database && missing.length) await strictWrite(database, missing).catch(() => { database = null; });
    if (navigator.storage && navigator.storage.persist) navigator.storage.persist().catch(() => {});
    async function add(content) {
      const order = Math.max(Date.now(), 1 + entries.reduce((last, entry) => Math.max(last, entry.order), 0));
      const entry = { ...content, walk, order, id: `${order}-${Math.random().toString(36).slice(2, 10)}` };
      entries.push(entry);
      const copied = writeCopy(walk, entry);
      let written = false;
      if (database) written = await strictWrite(database, [entry]).then(() => true, () => false);
      return { entry, safe: written || copied };
    }
    return { entries, add };
  }
  return { open };
})();
