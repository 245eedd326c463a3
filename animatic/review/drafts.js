// A note that is typed but not kept yet: each tab has its own, so that none writes over another's.
const draft = keyOf("draft", data.board, fresh());
function keepDraft(isLeft, mayReturn = false) {
  if (field.value.trim()) return keep(draft, { ...here(), words: field.value, isLeft, mayReturn });
  forget(draft);
  by("begun").hidden = true;
  return true;
}
// Another tab that goes on with a draft leaves a sign in its place. Not every browser tells a page
// opened from a disk what its other tabs write, so the sign is looked for.
function letGo() {
  const found = parsed(texts().get(draft) ?? null);
  if (!found || !found.isTaken) return;
  forget(draft);
  field.value = "";
  by("begun").hidden = true;
}
const drafts = () => entries("draft").filter((one) => one.board === data.board && one.key !== draft && isNote(one.value));
// Go on with a draft that another tab left, on its frame. It moves only once it is kept here.
function takeUp(key) {
  const found = drafts().find((one) => one.key === key);
  if (!found) return null;
  if (field.value.trim()) keep(keyOf("draft", data.board, fresh()), { ...here(), words: field.value, isLeft: true });
  field.value = found.value.words;
  const film = filmFrame(found.value);
  if (film !== null) show(film);
  if (keepDraft(false)) {
    if (found.value.isLeft && !found.value.mayReturn) forget(key);
    else keep(key, { isTaken: true, at: Date.now() });
  }
  by("begun").hidden = false;
  by("begun").textContent = film === null
    ? `You began this note on shot ${found.value.shot}, which is gone from the film, and have not kept it yet.`
    : "You began this note before and have not kept it yet.";
  return film;
}

// Notes that this browser keeps elsewhere under this film's title: by older pages, which knew no
// boards, or for other boards. Whose they are only a person can say, so they are offered.
function elsewhere() {
  const old = parsed(texts().get(`animatic notes: ${data.title}`));
  const sources = new Map();
  const add = (source, name, value) => {
    if (!sources.has(source)) sources.set(source, []);
    sources.get(source).push({ key: keyOf("note", data.board, name), value: { ...value, title: data.title, isBrought: true } });
  };
  for (const one of Array.isArray(old) ? old : []) {
    const { shot, frame: within, film, words, edition } = one || {};
    const value = { shot, frame: within, film, words, edition };
    if (isNote(value)) add("", JSON.stringify([shot, within, edition, words]), value);
  }
  for (const { board, name, value } of entries("note")) {
    // What was brought there is offered from where it came from.
    if (board !== data.board && isNote(value) && value.title === data.title && !value.isBrought) add(board, name, value);
  }
  const known = texts();
  return [...sources].map(([source, found]) => [source, found.filter((one) => !known.has(one.key))])
    .filter(([, found]) => found.length);
}
const short = (words) => `“${words.trim().slice(0, 60)}${words.trim().length > 60 ? "…" : ""}”`;
function offers() {
  const begun = drafts().map(({ key, value }) => ({
    key: `${key} ${value.words}`,
    words: `A note was begun in another tab, or before, and not kept: ${short(value.words)}`,
    deed: "Go on with it here",
    bring: () => { const film = takeUp(key); if (film !== null) go(film); field.focus(); },
  }));
  const kept = elsewhere().map(([source, found]) => ({
    key: `${source} ${found.map((one) => one.key).join(" ")}`,
    words: (found.length === 1 ? "1 note is" : `${found.length} notes are`) +
      (source ? " kept in this browser for another board of this title: " : " kept in this browser by an older page of this title, which did not say for which board: ") +
      short(found[0].value.words) + (found.length > 1 ? " and more" : ""),
    deed: "Copy to this board",
    bring: () => { for (const one of found) keep(one.key, one.value); say("copied to this board"); by("notes").focus({ preventScroll: true }); },
  }));
  return [...begun, ...kept];
}
function offer() {
  const found = offers();
  by("offers").hidden = found.length === 0;
  fill(by("offers"), found, (one) => item(paragraph(one.words), button(one.deed, () => { one.bring(); list(); offer(); })));
}

field.addEventListener("input", () => keepDraft(false));
function hear() {
  letGo();
  list();
  offer();
}
addEventListener("pagehide", (event) => { letGo(); keepDraft(true, event.persisted); });
// A tab that slept heard nothing of the others.
addEventListener("pageshow", (event) => { if (event.persisted) { letGo(); keepDraft(false); hear(); } });
addEventListener("focus", hear);
document.addEventListener("visibilitychange", hear);
// What another tab writes may arrive after this one has been come back to.
addEventListener("storage", hear);
addEventListener("beforeunload", (event) => { if (unkept.size) event.preventDefault(); });

show(0);
const left = drafts().filter((one) => one.value.isLeft).sort((a, b) => b.value.at - a.value.at)[0];
if (left) takeUp(left.key);
// A sign whose tab is gone is of no use to anybody.
const aDay = 86400000;
for (const { key, value } of entries("draft")) if (value && value.isTaken && !(Date.now() - value.at < aDay)) forget(key);
if (!keeps()) complain(KEEPS_NOTHING);
list();
offer();
