// Sample records in their stored form, made in the page: a million of them sent
// through the driver would take longer than they take to write.

const DEVICE = "0190a0b0-c0d0-7000-8000-00000000beef";

// A stamp of the notebook: seconds since 1970 in 32.32 bits, then the device.
const stampOf = (ms) => {
  const seconds = Math.floor(ms / 1000);
  const fraction = Math.floor((ms - seconds * 1000) * 4294967.296);
  const hex = (n) => n.toString(16).padStart(8, "0");
  return `${hex(seconds)}${hex(fraction)}-${DEVICE.replaceAll("-", "")}`;
};

// A UUID of version 7 with a number of ours in place of chance.
const idOf = (ms, kind, n) => {
  const time = Math.floor(ms).toString(16).padStart(12, "0");
  return `${time.slice(0, 8)}-${time.slice(8)}-7${kind}-8000-${n.toString(16).padStart(12, "0")}`;
};

const headOf = (id, ms) => ({ id, schema: 1, author: DEVICE, made: stampOf(ms) });

const written = (transaction) =>
  new Promise((resolve, reject) => {
    transaction.oncomplete = resolve;
    transaction.onabort = () => reject(transaction.error);
  });

async function addHitters(howMany) {
  const database = await opened();
  const transaction = database.transaction("hitters", "readwrite");
  const store = transaction.objectStore("hitters");
  const begun = Date.now() - 400 * 86_400_000;
  const ids = [];
  for (let n = 0; n < howMany; n += 1) {
    const ms = begun + n * 60_000;
    const id = idOf(ms, "00a", n);
    const field = (value) => ({ value, stamp: stampOf(ms) });
    store.add({
      head: headOf(id, ms),
      name: field(`Hitter ${String(n + 1).padStart(2, "0")}`),
      bats: field(["right", "left", "both"][n % 3]),
      sport: field("baseball"),
      level: field("baseball-adult"),
    });
    ids.push(id);
  }
  await written(transaction);
  database.close();
  return ids;
}

const REPS_A_SET = 20;
const MS_A_REP = 8_000;

async function addReps(hitters, from, to, total) {
  const database = await opened();
  const transaction = database.transaction("reps", "readwrite", { durability: "relaxed" });
  const store = transaction.objectStore("reps");
  const begun = Date.now() - total * MS_A_REP;
  for (let n = from; n < to; n += 1) {
    const ms = begun + n * MS_A_REP;
    const round = Math.floor(n / REPS_A_SET);
    store.add({
      head: headOf(idOf(ms, "00c", n), ms),
      hitter: hitters[round % hitters.length],
      set: idOf(begun, "00b", round),
      number: (n % REPS_A_SET) + 1,
      context: {
        side: "right",
        feed: "right",
        sport: "baseball",
        level: "baseball-adult",
        environment: "machine",
      },
      count_s: 1.2 + ((n * 7919) % 400) / 1000,
      taken_by: "two-taps",
    });
  }
  await written(transaction);
  database.close();
  return to - from;
}
