"""Make the demo board's photos: ray-trace the set, then print each frame like a camera would.

    python make_photos.py                 all photos
    python make_photos.py odd_cu pim_cu   those two
    python make_photos.py --draft         all, small and fast

Needs the program `povray` on the path, Pillow and NumPy. The same table gives the same
pictures: the grain is seeded by the photo's name.
"""

from __future__ import annotations

import argparse
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from develop import DEPTH_SCALE, Frame, develop, store
from photos import PHOTOS, RIGS, Camera, OddPose, Photo, PimPose, Rig, Vec

HERE = Path(__file__).resolve().parent
DELIVERED = (2160, 1440)  # pixels, landscape
RENDERED = (1200, 800)
DRAFT = (720, 480)
LIGHT_SCALE = 0.2  # scene light is kept at a fifth so that highlights are not cut off


def vec(v: tuple[float, ...]) -> str:
    """POV-Ray's spelling of a vector."""
    return "<" + ", ".join(f"{c:.4f}" for c in v) + ">"


def odd_text(pose: OddPose) -> str:
    """The keeper, and the bell if he carries it."""
    args = ", ".join(
        [f"{pose.turn}", f"{pose.lean}", vec(pose.head), vec(pose.hand_left),
         vec(pose.hand_right), f"{pose.brow}", f"{pose.mouth}", vec(pose.gaze), f"{pose.lid}"]
    )  # fmt: skip
    text = f"object {{ Odd({args}) translate {vec(pose.at)} }}\n"
    if pose.carries_bell is not None:
        text += (
            f"object {{ Bell(0, 0) translate {vec(pose.carries_bell)} "
            f"rotate y * {pose.turn} translate {vec(pose.at)} }}\n"
        )
    return text


def pim_text(pose: PimPose) -> str:
    """The child, seated; to be placed with the boat."""
    args = ", ".join(
        [f"{pose.turn}", f"{pose.lean}", vec(pose.head), vec(pose.hand_left),
         vec(pose.hand_right), f"{pose.brow}", f"{pose.mouth}", f"{pose.smile}",
         vec(pose.gaze), f"{pose.lid}", "1"]
    )  # fmt: skip
    return f"object {{ Pim({args}) translate {vec(pose.at)} transform {{ BoatPlace }} }}\n"


def camera_text(camera: Camera, portrait: bool) -> str:
    """The camera; points of the boat's space are carried along with the boat."""

    def point(v: Vec) -> str:
        return f"vtransform({vec(v)}, BoatPlace)" if camera.frame == "boat" else vec(v)

    ratio = "2/3" if portrait else "3/2"
    return (
        f"#declare CamAt = {point(camera.at)};\n"
        f"#declare CamFocus = {point(camera.focus or camera.to)};\n"
        f"camera {{ perspective location CamAt up y right x * {ratio} angle {camera.angle} "
        f"look_at {point(camera.to)} }}\n"
        '#debug concat("FOCUS ", str(vlength(CamFocus - CamAt), 0, 4), "\\n")\n'
    )


def scene_text(photo: Photo, bounce: int, depth: bool) -> str:
    """A whole scene file for one photo (or for its distances, when depth is asked for)."""
    rig = photo.rig or RIGS[photo.setup]
    parts = [
        "#version 3.7;",
        f"#declare EX = {LIGHT_SCALE};",
        f"#declare GLOW = {0 if depth else 1};",
        f"#declare BOUNCE = {bounce};",
        f"#declare DEPTH_SCALE = {DEPTH_SCALE};",
        '#include "harbour.inc"',
        f"#declare StandLit = {rig.stand};",
        f"#declare BulbAt = {vec(rig.bulb_at)};",
        f"#declare BoatPlace = transform {{ rotate x * {rig.boat_pitch} rotate z * "
        f"{rig.boat_roll} rotate y * {rig.boat_turn} translate {vec(rig.boat)} }};",
        camera_text(photo.camera, photo.portrait),
        f"{rig.lights}()",
        "Table() MudField() object { Quay() } object { Breakwater() }",
        f"object {{ SeaWall({int(rig.wall_front)}, {int(rig.wall_left)}) }}",
        "object { TidePost() translate <-12.7, 0, 2.6> }",
        water_text(rig),
        f"LampPost({rig.lamp}, {int(photo.bell == 'hung')}, {photo.swing}, "
        f"{vec(photo.rope_to or (0.0, 0.0, 0.0))})",
        f"Shed({int(rig.shed_front)}, {int(rig.shed_back)}, {int(rig.shed_side)}, {rig.bulb})",
        f"object {{ Boat({int(rig.oars_out)}, {rig.boat_lantern}) transform {{ BoatPlace }} }}",
    ]
    if photo.bell == "shelf":
        parts.append("object { Bell(0, 0) rotate y * 25 translate <-40.2, 17.1, 54.6> }")
    if photo.dust:
        parts.append("Dust()")
    if photo.odd is not None:
        parts.append(odd_text(photo.odd))
    if photo.pim is not None:
        parts.append(pim_text(photo.pim))
    return "\n".join(parts) + "\n"


def water_text(rig: Rig) -> str:
    """Puddles at low water, the sea when the tide is in."""
    skin = "T_Sea" if rig.water > -8 else "T_Puddle"
    beyond = max(rig.water, -11.9)
    return (
        f"box {{ <-14.2, -14, -24.8>, <62, {rig.water}, 133> texture {{ {skin} }} }}\n"
        f"box {{ <-124, -15.9, 66.6>, <139, {beyond}, 133.5> texture {{ T_Sea }} }}"
    )


def trace(photo: Photo, size: tuple[int, int], bounce: int, smooth: bool) -> Frame:
    """Ray-trace the picture and its distances."""
    program = shutil.which("povray")
    if program is None:
        sys.exit("povray is not installed. On Debian: apt-get install povray")
    width, height = (size[1], size[0]) if photo.portrait else size
    with tempfile.TemporaryDirectory() as folder:
        work = Path(folder)
        for kind in ("picture", "depth"):
            depth = kind == "depth"
            scene = work / f"{kind}.pov"
            scene.write_text(scene_text(photo, bounce, depth), encoding="utf-8")
            options = ["+A0.09", "+AM2", "+R2", "+J0.6"] if smooth and not depth else ["-A"]
            command = [
                program, f"+I{scene.name}", f"+O{kind}.ppm", f"+W{width}", f"+H{height}",
                "+FP16", "File_Gamma=1.0", "-D", f"+L{HERE}", *options,
            ]  # fmt: skip
            run = subprocess.run(command, cwd=work, capture_output=True, text=True, check=False)
            if run.returncode != 0:
                told = run.stderr.split("[Parsing...]")[-1].split("Fatal error")[0]
                sys.exit(f"{photo.name}: povray stopped.\n{told}")
            if not depth:
                focus = float(run.stderr.split("FOCUS ")[1].split()[0])
        light = read_ppm16(work / "picture.ppm") / LIGHT_SCALE
        fog = read_ppm16(work / "depth.ppm")[..., 0]
    distance = -DEPTH_SCALE * np.log1p(-np.minimum(fog, 0.9999))
    return Frame(light, distance.astype(np.float32), focus)


def read_ppm16(path: Path) -> np.ndarray:
    """A 16-bit binary PPM as floats in 0..1, shape (height, width, 3)."""
    data = path.read_bytes()
    fields: list[bytes] = []
    at = 0
    while len(fields) < 4:
        end = at
        while data[end : end + 1] not in (b" ", b"\n", b"\t", b"\r"):
            end += 1
        if data[at : at + 1] == b"#":
            at = data.index(b"\n", at) + 1
            continue
        if end > at:
            fields.append(data[at:end])
        at = end + 1
    width, height = int(fields[1]), int(fields[2])
    pixels = np.frombuffer(data, dtype=">u2", count=width * height * 3, offset=at)
    return pixels.reshape(height, width, 3).astype(np.float32) / 65535.0


def main() -> None:
    """Render what was asked for."""
    parser = argparse.ArgumentParser(description="Make the demo board's photos.")
    parser.add_argument("names", nargs="*", help="photos to make (all when none is named)")
    parser.add_argument("--draft", action="store_true", help="render small and rough")
    parser.add_argument("--preview", action="store_true", help="deliver small as well")
    parser.add_argument("--out", type=Path, default=HERE.parent / "photos", help="target folder")
    asked = parser.parse_args()
    known = {photo.name: photo for photo in PHOTOS}
    unknown = sorted(set(asked.names) - set(known))
    if unknown:
        sys.exit(f"No such photo: {', '.join(unknown)}. There are: {', '.join(known)}")
    asked.out.mkdir(parents=True, exist_ok=True)
    for photo in PHOTOS:
        if asked.names and photo.name not in asked.names:
            continue
        began = time.monotonic()
        frame = trace(
            photo, DRAFT if asked.draft else RENDERED, 20 if asked.draft else 35, not asked.draft
        )
        traced = time.monotonic()
        rig = photo.rig or RIGS[photo.setup]
        size = DRAFT if asked.preview else DELIVERED
        picture = develop(photo, rig, frame, size)
        stored = store(photo, picture, asked.out / f"{photo.name}.jpg")
        print(
            f"{photo.name}: {stored / 1000:.0f} kB, traced in {traced - began:.0f} s, "
            f"printed in {time.monotonic() - traced:.0f} s",
            flush=True,
        )


if __name__ == "__main__":
    main()
