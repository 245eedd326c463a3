const by = (id) => document.getElementById(id);
const data = JSON.parse(by("data").textContent);
const video = by("video"), labels = data.labels.split(" ");
const rate = data.rate[0] / data.rate[1], last = data.frames - 1;
let frame = 0;

// WebKitGTK plays no film of an ordinary size from a blob, and may wait for ever without an
// error; other browsers play none from a data address. So each is tried until one gives a film.
const film = by("film").textContent.trim();
const fromBlob = () => {
  const bytes = Uint8Array.from(atob(film), (c) => c.charCodeAt(0));
  return URL.createObjectURL(new Blob([bytes], { type: "video/mp4" }));
};
const fromText = () => `data:video/mp4;base64,${film}`;
const ways = [{ make: fromBlob, patience: 3000 }, { make: fromText, patience: 20000 }, { make: fromBlob, patience: 20000 }];
let way = -1, waiting;
function nextWay() {
  clearTimeout(waiting);
  way++;
  video.src = ways[way].make();
  waiting = setTimeout(lookForFilm, ways[way].patience);
}
function lookForFilm() {
  if (video.readyState > 0) return;
  // Where nobody looks, a browser may put the film off.
  if (document.hidden) waiting = setTimeout(lookForFilm, ways[way].patience);
  else if (way < ways.length - 1) nextWay();
  else noFilm("This browser has not shown the film yet. Press Play; if it does not come, open the page in another browser.");
}
function noFilm(words) {
  by("no-film").hidden = false;
  by("no-film").textContent = `${words} The shot list and the notes work all the same.`;
}
video.addEventListener("error", () => {
  if (way < ways.length - 1) return nextWay();
  clearTimeout(waiting);
  noFilm("This browser cannot show the film (H.264 in MP4).");
});
video.addEventListener("loadedmetadata", () => {
  clearTimeout(waiting);
  by("no-film").hidden = true;
  // Only a seek makes some browsers draw a film that has not been played.
  if (video.paused) go(frame);
});
nextWay();

const within = (list, n) => {
  let found = 0;
  while (found + 1 < list.length && list[found + 1].start <= n) found++;
  return found;
};
const shotAt = (n) => within(data.shots, n);
const say = (words) => { by("said").textContent = words; };

function show(n) {
  frame = n;
  const at = shotAt(n), shot = data.shots[at], panel = within(data.panels, n);
  by("shot").textContent = shot.name;
  by("in-shot").textContent = `frame ${n - shot.start + 1} of ${shot.frames}`;
  by("label").textContent = labels[n];
  by("frame").textContent = n;
  by("slider").value = n;
  by("slider").setAttribute("aria-valuetext", `frame ${n}, shot ${shot.name}`);
  by("note-where").textContent = `shot ${shot.name}, frame ${n - shot.start + 1} of the shot (film frame ${n})`;
  mark("#strip button", panel);
  mark("#shots tbody tr", at);
}
function mark(what, index) {
  document.querySelectorAll(what).forEach((one, n) => {
    const was = one.hasAttribute("aria-current");
    if (n !== index) one.removeAttribute("aria-current");
    else if (!was) {
      one.setAttribute("aria-current", "true");
      const strip = by("strip");
      if (what.startsWith("#strip")) strip.scrollLeft = one.parentElement.offsetLeft - strip.offsetLeft - strip.clientWidth / 2 + one.clientWidth / 2;
    }
  });
}
function go(n) {
  video.pause();
  n = Math.min(last, Math.max(0, n));
  // The middle of a frame: no rounding can land on its neighbour.
  video.currentTime = (n + 0.5) / rate;
  show(n);
  const shot = data.shots[shotAt(n)];
  say(`shot ${shot.name}, frame ${n - shot.start + 1}`);
}
const second = Math.round(rate);
function byShots(step) {
  const at = shotAt(frame), start = data.shots[at].start;
  const to = step < 0 && frame > start ? at : Math.min(data.shots.length - 1, Math.max(0, at + step));
  go(data.shots[to].start);
}
function play() {
  if (!video.paused) { video.pause(); return; }
  if (frame === last) video.currentTime = 0;
  video.play().catch(() => say("the film cannot be played here"));
}

if (video.requestVideoFrameCallback) {
  const seen = (now, facts) => {
    // Some browsers tell the time that was sought, half a frame on, others round to below the frame.
    if (!video.paused) show(Math.min(last, Math.max(0, Math.floor(facts.mediaTime * rate + 0.25))));
    video.requestVideoFrameCallback(seen);
  };
  video.requestVideoFrameCallback(seen);
} else {
  const tick = () => {
    if (!video.paused) show(Math.min(last, Math.floor(video.currentTime * rate + 0.001)));
    requestAnimationFrame(tick);
  };
  requestAnimationFrame(tick);
}
video.addEventListener("play", () => { by("play").textContent = "Stop"; });
video.addEventListener("pause", () => {
  by("play").textContent = "Play";
  // Played to rest: stand on a whole frame, so that what is seen is what a note names.
  if (!video.ended) video.currentTime = (frame + 0.5) / rate;
});
video.addEventListener("ended", () => go(last));

by("play").addEventListener("click", play);
by("slider").addEventListener("input", () => go(Number(by("slider").value)));
by("sound").addEventListener("click", () => {
  video.muted = !video.muted;
  by("sound").setAttribute("aria-pressed", String(!video.muted));
});
document.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button) return;
  const { step, second: seconds, shot, go: to } = button.dataset;
  if (step) go(frame + Number(step));
  if (seconds) go(frame + Number(seconds) * second);
  if (shot) byShots(Number(shot));
  if (to !== undefined) go(Number(to));
});
