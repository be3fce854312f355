// What this screen keeps by itself, so that neither a lost network nor a dead battery loses anything.

const NAME = "hoopwright-bend";
const TABLE = "kept";

export interface Store {
  /** Where it is kept, in a word for the screen. */
  readonly kind: "database" | "plain" | "memory";
  get<T>(key: string): Promise<T | undefined>;
  put(key: string, value: unknown): Promise<void>;
  drop(key: string): Promise<void>;
  /** Everything whose key begins so. */
  all<T>(prefix: string): Promise<T[]>;
}

export async function openStore(): Promise<Store> {
  try {
    return await openDatabase();
  } catch {
    return plainStore();
  }
}

function openDatabase(): Promise<Store> {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(TABLE);
    asked.onerror = () => reject(asked.error);
    asked.onblocked = () => reject(new Error("blocked"));
    asked.onsuccess = () => resolve(databaseStore(asked.result));
  });
}

function databaseStore(database: IDBDatabase): Store {
  const write = (act: (table: IDBObjectStore) => void): Promise<void> =>
    new Promise((resolve, reject) => {
      // strict: on the disk before it counts, as far as the browser can say
      const work = database.transaction(TABLE, "readwrite", { durability: "strict" });
      act(work.objectStore(TABLE));
      work.oncomplete = () => resolve();
      work.onerror = () => reject(work.error);
      work.onabort = () => reject(work.error);
    });
  return {
    kind: "database",
    get: (key) =>
      new Promise((resolve, reject) => {
        const asked = database.transaction(TABLE).objectStore(TABLE).get(key);
        asked.onsuccess = () => resolve(asked.result);
        asked.onerror = () => reject(asked.error);
      }),
    put: (key, value) => write((table) => table.put(value, key)),
    drop: (key) => write((table) => table.delete(key)),
    all: (prefix) =>
      new Promise((resolve, reject) => {
        const range = IDBKeyRange.bound(prefix, `${prefix}\uffff`);
        const asked = database.transaction(TABLE).objectStore(TABLE).getAll(range);
        asked.onsuccess = () => resolve(asked.result);
        asked.onerror = () => reject(asked.error);
      }),
  };
}

function plainStore(): Store {
  try {
    localStorage.setItem(`${NAME}:try`, "1");
  } catch {
    return memoryStore();
  }
  return {
    kind: "plain",
    get: async (key) => {
      const text = localStorage.getItem(`${NAME}:${key}`);
      return text === null ? undefined : JSON.parse(text);
    },
    put: async (key, value) => localStorage.setItem(`${NAME}:${key}`, JSON.stringify(value)),
    drop: async (key) => localStorage.removeItem(`${NAME}:${key}`),
    all: async <T>(prefix: string) =>
      Object.keys(localStorage)
        .filter((key) => key.startsWith(`${NAME}:${prefix}`))
        .map((key) => JSON.parse(localStorage.getItem(key) ?? "null") as T),
  };
}

function memoryStore(): Store {
  const kept = new Map<string, unknown>();
  return {
    kind: "memory",
    get: async <T>(key: string) => kept.get(key) as T | undefined,
    put: async (key, value) => void kept.set(key, value),
    drop: async (key) => void kept.delete(key),
    all: async <T>(prefix: string) => [...kept].filter(([key]) => key.startsWith(prefix)).map(([, value]) => value as T),
  };
}
