// What this browser keeps for the page. Every note and every draft lies under a key of its own,
// KIND BOARD NAME, so that no tab ever writes over what another one wrote.
const unkept = new Map();
function keep(key, value) {
  const text = JSON.stringify(value);
  try {
    localStorage.setItem(key, text);
    unkept.delete(key);
    return true;
  } catch {
    unkept.set(key, text);
    return false;
  }
}
function forget(key) {
  unkept.delete(key);
  try { localStorage.removeItem(key); } catch { /* Where nothing may be kept, nothing was. */ }
}
function texts() {
  const found = new Map();
  try {
    for (const key of Object.keys(localStorage)) found.set(key, localStorage.getItem(key));
  } catch { /* Only what is not kept is left. */ }
  for (const [key, text] of unkept) found.set(key, text);
  return found;
}
function parsed(text) {
  try { return JSON.parse(text); } catch { return null; }
}
// Whether anything stays here, so that it can be said before the first note is typed.
function keeps() {
  const key = keyOf("trial", data.board, fresh()), isKept = keep(key, true);
  forget(key);
  return isKept;
}
const fresh = () => Array.from(crypto.getRandomValues(new Uint8Array(8)), (n) => n.toString(16).padStart(2, "0")).join("");
const keyOf = (kind, board, name) => `animatic ${kind} ${board} ${name}`;
// All that is kept of one kind, of every board: a value of null says that a note was removed.
function entries(kind) {
  const shape = new RegExp(`^animatic ${kind} (\\S+) (.+)$`, "s"), found = [];
  for (const [key, text] of texts()) {
    const parts = shape.exec(key);
    if (parts) found.push({ key, board: parts[1], name: parts[2], value: parsed(text) });
  }
  return found;
}
const isNote = (value) => Boolean(value) && typeof value.words === "string" && typeof value.shot === "string" && Number.isInteger(value.frame);
// Bring a list to these entries. What stays in it is not touched, so that it keeps the focus.
function fill(list, wanted, make) {
  const keys = new Set(wanted.map((one) => one.key));
  for (const item of [...list.children]) if (!keys.has(item.dataset.key)) item.remove();
  wanted.forEach((one, n) => {
    if (list.children[n] && list.children[n].dataset.key === one.key) return;
    const item = make(one);
    item.dataset.key = one.key;
    list.insertBefore(item, list.children[n] || null);
  });
}
