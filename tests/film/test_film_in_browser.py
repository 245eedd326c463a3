"""The film plays and seeks in a browser: headless Chromium, where it is on the machine."""

from __future__ import annotations

import base64
import json
import random
import shutil
import subprocess
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from queue import Queue
from threading import Thread
from typing import Any

import pytest
from film_stand_ins import Flat, board, silence

from animatic.film import write_film

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")

OPTIONS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--autoplay-policy=no-user-gesture-required",
)

PAGE = """<!doctype html><video id=v muted src="data:video/mp4;base64,%(film)s"></video>
<script>
const video = document.getElementById("v");
const canvas = document.createElement("canvas");
const shown = () => new Promise(done => video.requestVideoFrameCallback(done));
const event = name => new Promise(done => video.addEventListener(name, done, {once: true}));
async function run() {
  if (video.readyState < 2) await event("loadeddata");
  canvas.width = video.videoWidth; canvas.height = video.videoHeight;
  const context = canvas.getContext("2d", {willReadFrequently: true}), colours = [];
  for (const time of %(times)s) {
    // A seek is over before its picture is there to be drawn.
    const there = Promise.all([event("seeked"), shown()]);
    video.currentTime = time;
    await there;
    context.drawImage(video, 0, 0);
    const middle = [canvas.width / 2, canvas.height / 2];
    colours.push([...context.getImageData(...middle, 1, 1).data.slice(0, 3)]);
  }
  video.currentTime = 0;
  await event("seeked");
  await video.play();
  await event("ended");
  return {colours, duration: video.duration, size: [video.videoWidth, video.videoHeight]};
}
run().catch(fault => ({fault: String(fault)}))
     .then(said => fetch("/said", {method: "POST", body: JSON.stringify(said)}));
</script>"""


def said_by_page(page: str, profile: Path) -> Any:
    """Open a page in Chromium and return what it posts to /said."""
    said: Queue[bytes] = Queue()

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(200 if self.path == "/" else 404)
            self.send_header("Content-Type", "text/html; charset=utf-8")
            self.end_headers()
            if self.path == "/":
                self.wfile.write(page.encode())

        def do_POST(self) -> None:
            said.put(self.rfile.read(int(self.headers["Content-Length"])))
            self.send_response(204)
            self.end_headers()

        def log_message(self, *words: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    Thread(target=server.serve_forever, daemon=True).start()
    url = f"http://127.0.0.1:{server.server_port}/"
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    command = [str(CHROMIUM), *OPTIONS, f"--user-data-dir={profile}", url]
    with subprocess.Popen(command, **quiet) as browser:
        try:
            return json.loads(said.get(timeout=120))
        finally:
            browser.kill()
            server.shutdown()
            server.server_close()


@pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not on this machine")
def test_chromium_plays_it_and_seeks_to_every_frame_asked_for(tmp_path: Path) -> None:
    timeline = board([1, 2, 5, 40, 1, 30, 3], rate="24")
    film = tmp_path / "film.mp4"
    write_film(timeline, film, pictures=Flat(timeline), sound=silence)
    frames = random.Random(3).sample(range(timeline.frames), 50)
    # The middle of a frame is in that frame whichever way a player rounds.
    times = [(frame + 0.5) / 24 for frame in frames]
    encoded = base64.b64encode(film.read_bytes()).decode()
    page = PAGE % {"film": encoded, "times": json.dumps(times)}
    said = said_by_page(page, tmp_path / "profile")
    assert "fault" not in said, said
    assert said["size"] == list(timeline.size)
    assert said["duration"] == pytest.approx(timeline.frames / 24, abs=1e-3)
    wanted = [Flat(timeline).frame(frame)[0, 0].tolist() for frame in frames]
    for frame, seen, colour in zip(frames, said["colours"], wanted, strict=True):
        assert seen == pytest.approx(colour, abs=6), f"frame {frame}"
