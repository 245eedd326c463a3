let notes = [];
const field = by("note");
// The frame of this film that a note of any cut stands on; null where its shot is gone.
function filmFrame(note) {
  const shot = data.shots.find((one) => one.name === note.shot);
  return shot ? shot.start + Math.min(note.frame, shot.frames - 1) : null;
}
function here() {
  const shot = data.shots[shotAt(frame)];
  return { title: data.title, shot: shot.name, frame: frame - shot.start, film: frame, edition: data.edition, at: Date.now() };
}
function read() {
  const mine = entries("note").filter((one) => one.board === data.board && isNote(one.value));
  notes = mine.map(({ key, value }) => {
    const film = filmFrame(value);
    return { ...value, key, film: film ?? value.film, isLost: film === null, isEarlier: value.edition !== data.edition };
  });
  notes.sort((a, b) => a.film - b.film || (a.at || 0) - (b.at || 0));
}
const named = (note) => `shot ${note.shot}, frame ${note.frame + 1} of the shot` +
  (note.isLost ? "" : `, film frame ${note.film}, ${labels[note.film]}`) +
  (note.isLost ? " (this shot is gone from the film)" : note.isEarlier ? " (written for an earlier cut)" : "");
function button(words, deed) {
  const made = document.createElement("button");
  made.type = "button";
  made.textContent = words;
  if (deed) made.addEventListener("click", deed);
  return made;
}
function paragraph(words) {
  const made = document.createElement("p");
  made.dir = "auto";
  made.textContent = words;
  return made;
}
function item(...parts) {
  const made = document.createElement("li");
  made.append(...parts);
  return made;
}
function noteItem(note) {
  const to = button(named(note));
  if (!note.isLost) to.dataset.go = note.film;
  to.disabled = note.isLost;
  const away = button("Remove", () => {
    // One that was brought here is still kept elsewhere: it is not to be offered again.
    if (note.isBrought) keep(note.key, null);
    else forget(note.key);
    list();
    say("note removed");
    (isPointed ? by("notes") : field).focus({ preventScroll: isPointed });
  });
  away.setAttribute("aria-label", `Remove the note on ${named(note)}`);
  return item(to, paragraph(note.words), away);
}
function list() {
  read();
  by("no-notes").hidden = notes.length > 0;
  by("save").disabled = notes.length === 0;
  fill(by("note-list"), notes, noteItem);
}
const KEEPS_NOTHING = "this browser keeps nothing: save the notes as a file before you leave";
function complain(words) {
  say(words);
  by("trouble").hidden = false;
  by("trouble").textContent = words;
}

field.addEventListener("focus", () => video.pause());
by("note-form").addEventListener("submit", (event) => {
  event.preventDefault();
  const words = field.value.trim();
  if (!words) return;
  const isKept = keep(keyOf("note", data.board, fresh()), { ...here(), words });
  field.value = "";
  keepDraft(false);
  list();
  if (isKept) say("note kept");
  else complain(KEEPS_NOTHING);
});
by("save").addEventListener("click", () => {
  list();
  const head = `${data.title}: notes\n${data.facts}\nFrames of a shot count from 1, film frames from 0.\n`;
  const text = head + notes.map((note) => `\n${named(note)}\n${note.words}\n`).join("");
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([text], { type: "text/plain;charset=utf-8" }));
  link.download = `${data.file}_notes.txt`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
});
