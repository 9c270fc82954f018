// Looks at hitters in their stored form, beside samples.js: of each hitter the
// latest twelve with every item, the older ones with two answers.

const ITEMS = [
  "before-pain", "before-eyesight", "before-bat", "before-fatigue",
  "launch-balance", "launch-both-ways", "launch-head", "launch-again", "launch-turn",
  "launch-tilt", "load-back-hip", "load-back-foot", "load-front-hip", "load-control",
  "load-same-launch", "swing-count", "swing-direction", "swing-path", "swing-on-time",
  "approach-plan", "approach-zone", "approach-chase", "approach-on-time",
];
const WHOLE_LOOKS = 12;

async function addLooks(hitters, first, looks) {
  const database = await opened();
  const transaction = database.transaction(["checks", "observations"], "readwrite",
    { durability: "relaxed" });
  const checks = transaction.objectStore("checks");
  const observations = transaction.objectStore("observations");
  const begun = Date.now() - looks * 86_400_000;
  let answers = 0;
  hitters.forEach((hitter, place) => {
    for (let look = 0; look < looks; look += 1) {
      const n = (first + place) * looks + look;
      const ms = begun + look * 86_400_000 + (first + place) * 100_000;
      const check = idOf(ms, "00d", n);
      checks.add({
        head: headOf(check, ms),
        hitter,
        context: {
          side: "right", feed: "none", sport: "baseball",
          level: "baseball-adult", environment: "tee",
        },
      });
      const whole = look >= looks - WHOLE_LOOKS;
      const asked = whole ? ITEMS : ITEMS.slice(4, 6);
      asked.forEach((item, at) => {
        const when = ms + (at + 1) * 1_000;
        // Launch and load are good; the path is not yet: work on the full swing.
        const good = !(item === "swing-path" || (item === "swing-count" && look % 3 === 0));
        observations.add({
          head: headOf(idOf(when, "00e", n * ITEMS.length + at), when),
          check, hitter, item, answer: good ? "yes" : "not-yet",
        });
        answers += 1;
      });
    }
  });
  await written(transaction);
  database.close();
  return answers;
}

// One look with these answers (item, answer) by this phone, made `minutesAgo`.
async function addLook(hitter, answers, minutesAgo, choices) {
  const database = await opened();
  const transaction = database.transaction(["checks", "observations", "device"], "readwrite");
  const { value: author } = await answered(transaction.objectStore("device").get("device"));
  const ms = Date.now() - minutesAgo * 60_000;
  const head = (id, ms) => ({ ...headOf(id, ms), author });
  const check = idOf(ms, "00f", minutesAgo);
  transaction.objectStore("checks").put({
    head: head(check, ms),
    hitter,
    context: {
      side: "right", feed: "none", sport: "baseball",
      level: "baseball-adult", environment: "tee",
    },
    choices,
  });
  answers.forEach(([item, answer], at) => {
    const when = ms + at;
    transaction.objectStore("observations").put({
      head: head(idOf(when, "010", minutesAgo * 1000 + at), when), check, hitter, item, answer,
    });
  });
  await written(transaction);
  database.close();
}

// Records written out but for their heads; a stamp "now" becomes one.
async function addRecords(store, records) {
  const database = await opened();
  const transaction = database.transaction(store, "readwrite");
  records.forEach((record, n) => {
    const ms = Date.now() - 3_600_000 + n;
    const stamped = (value) => value?.stamp === "now" ? { ...value, stamp: stampOf(ms) } : value;
    const fields = Object.entries(record).map(([name, value]) => [name, stamped(value)]);
    const head = headOf(idOf(ms, "011", n), ms);
    transaction.objectStore(store).put({ head, ...Object.fromEntries(fields) });
  });
  await written(transaction);
  database.close();
}
