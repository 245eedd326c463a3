"""The table of the day's photos: what the camera saw, one entry per picture.

Lengths are centimetres on the table top (x right, y up, z towards the painted horizon), angles
are degrees. Points of the puppets' hands are in the puppet's own space: it stands at its feet
and faces -z; +x is the viewer's right.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

Vec = tuple[float, float, float]
Vec2 = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Camera:
    """A place, an aim, the horizontal angle of view, what is sharp and how wide the lens is."""

    at: Vec
    to: Vec
    angle: float
    focus: Vec | None = None  # the aim unless given
    aperture: float = 0.5  # diameter of the lens opening in cm: the depth of field follows
    frame: str = "set"  # or "boat": points in the boat's space
    roll: float = 0.0


@dataclass(frozen=True, slots=True)
class OddPose:
    """How the keeper stands. Head: up, right as seen from the front, tilt. Brow -1 is a frown."""

    at: Vec
    turn: float
    lean: float = 0.0
    head: Vec = (0.0, 0.0, 0.0)
    hand_left: Vec = (4.6, 3.6, -1.4)
    hand_right: Vec = (-4.6, 3.6, -1.4)
    brow: float = 0.0
    mouth: float = 0.0
    gaze: Vec2 = (0.0, 0.0)
    lid: float = 0.3
    carries_bell: Vec | None = None  # the bell's hook, in the puppet's space


@dataclass(frozen=True, slots=True)
class PimPose:
    """How the child sits in the boat (points in the boat's space)."""

    at: Vec = (0.0, 0.5, 0.0)
    turn: float = 180.0
    lean: float = 0.0
    head: Vec = (0.0, 0.0, 0.0)
    hand_left: Vec = (1.9, 2.6, -1.9)
    hand_right: Vec = (-1.9, 2.6, -1.9)
    brow: float = 0.0
    mouth: float = 0.0
    smile: float = 0.0
    gaze: Vec2 = (0.0, 0.0)
    lid: float = 0.2


@dataclass(frozen=True, slots=True)
class Rig:
    """A setup: which parts are off, which lamps burn, where water and boat are, how to print."""

    lights: str
    wall_front: bool = True
    wall_left: bool = True
    shed_front: bool = True
    shed_back: bool = True
    shed_side: bool = True
    lamp: float = 0.0
    bulb: float = 0.0
    bulb_at: Vec = (-44.5, 19.4, 45.5)
    water: float = -12.0
    boat: Vec = (7.0, -12.1, 12.0)
    boat_turn: float = 118.0
    boat_roll: float = 15.0
    boat_pitch: float = 2.0
    boat_lantern: float = 0.0
    oars_out: bool = False
    stand: float = 0.0  # the lamp on its stand at the picture's edge
    exposure: float = 1.0
    white: Vec = (1.0, 1.0, 1.0)
    glow: float = 0.06
    shadow_tint: Vec = (0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Photo:
    """One picture: file stem, setup, clock time of the exposure, camera, puppets."""

    name: str
    setup: str
    time: str  # HH:MM:SS.mmm
    shows: str
    camera: Camera
    odd: OddPose | None = None
    pim: PimPose | None = None
    rig: Rig | None = None  # where it differs from the setup's
    bell: str = "none"  # none, hung, shelf
    swing: float = 0.0
    rope_to: Vec | None = None
    dust: bool = False
    portrait: bool = False


RIGS: dict[str, Rig] = {
    "quay-day": Rig(
        "LightsQuayDay", wall_front=False, stand=1.6, exposure=0.86, white=(0.98, 1.0, 1.03)
    ),
    "mud-day": Rig("LightsMudDay", exposure=1.0, white=(1.03, 1.0, 0.95)),
    "shed": Rig(
        "LightsShed", wall_left=False, shed_back=False, bulb=1.0, exposure=1.25, glow=0.12
    ),
    "quay-dusk": Rig(
        "LightsDusk", shed_front=False, lamp=1.0, bulb=1.0, exposure=1.4,
        white=(0.95, 0.98, 1.07), glow=0.14, shadow_tint=(0.0, 0.004, 0.014),
    ),
}  # fmt: skip

_DUSK = RIGS["quay-dusk"]
_FLOOD = replace(
    _DUSK, water=-3.0, boat=(6.0, -4.2, 14.0), boat_turn=150.0, boat_roll=-3.0, boat_pitch=0.0
)

_WIDE = Camera((20, 23, -100), (2.5, 0.0, 24), 50, focus=(4, -6, 8), aperture=1.2)
_ODD_MS = Camera((-4, 10.5, -31), (-16.6, 12.4, 4), 35, focus=(-18.5, 14, 2), aperture=1.6)
_ODD_AT: Vec = (-20.2, 0, 4.6)
_BOAT_MLS = Camera((23, -7.6, -9), (6.5, -5.2, 12), 38, focus=(7, -3, 11), aperture=1.0)
_OVER = Camera((21, -3.6, 3.4), (-16, 9.2, 18.6), 45, focus=(-17, 13, 18), aperture=1.0)
_OVER_ODD: Vec = (-18.2, 0, 19)
_SHED_WS = Camera((-84, 13.0, 40.5), (-42, 10.6, 46.6), 47, focus=(-43, 10, 46), aperture=1.3)
_BELL_MS = Camera((-79, 12.0, 37), (-39.5, 13.3, 47.6), 32, focus=(-41.5, 13, 46.5), aperture=1.1)
_DUSK_LS = Camera((17, 7.5, -29), (-20.5, 16.6, 27), 45, focus=(-19, 14, 20), aperture=1.6)
_PIM_CU = Camera(
    (2.2, 12.0, 10.5), (0.1, 9.9, 0), 42, frame="boat", focus=(0, 9.8, 1.9), aperture=0.8
)
_DUSK_CU = Camera((-4.4, 6.6, -3.4), (5.6, 5.9, 14), 36, focus=(5.4, 5.8, 12.4), aperture=1.1)

PHOTOS: tuple[Photo, ...] = (
    Photo("quay_wide", "quay-day", "09:41:12.340", "the whole harbour, boat on the mud",
          _WIDE, pim=PimPose()),
    Photo("quay_wide_b", "quay-day", "09:44:05.120", "the same, Odd has come onto the quay",
          _WIDE, odd=OddPose((-19.5, 0, 6), -62, 4, (-10, 0, 0)), pim=PimPose(head=(10, -30, 0))),
    Photo("odd_ms", "quay-day", "09:58:31.770", "Odd to the waist by the tide post, looks down",
          _ODD_MS,
          odd=OddPose(_ODD_AT, -66, 9, (-17, -6, 0), hand_left=(4.6, 5.2, -3.2),
                      hand_right=(-3.2, 5.0, -4.8), brow=-0.4, gaze=(-14, 4), lid=0.45)),
    Photo("odd_ms_b", "quay-day", "10:01:48.050", "the same, Odd looks away, hand to his cap",
          _ODD_MS,
          odd=OddPose(_ODD_AT, 4, -2, (7, -34, 4), hand_left=(4.4, 16.2, -2.6),
                      hand_right=(-4.6, 4.0, -2.2), brow=0.3, gaze=(4, -8), lid=0.25)),
    Photo("tide_post", "quay-day", "10:14:22.900", "the tide post, marks and dry weed",
          Camera((-4.5, -1.6, -13.5), (-12.0, -4.0, 4), 35, focus=(-12.6, -4, 3), aperture=1.2)),
    Photo("odd_cu", "quay-day", "10:27:09.610", "Odd, frowning",
          Camera((-11.5, 14.2, -18.5), (-19.4, 15.0, 3), 32, focus=(-19.4, 15, 1.8), aperture=1.5),
          odd=OddPose(_ODD_AT, -18, 4, (-5, 4, -3), brow=-1.0, gaze=(-4, 10), lid=0.42,
                      hand_left=(3.4, 8.6, -4.2))),
    Photo("boat_mls", "mud-day", "11:20:40.480", "Pim in the tilted boat on the mud",
          _BOAT_MLS, pim=PimPose(head=(-9, 8, -4), lean=8, smile=-0.6, brow=0.2, gaze=(-6, 6),
                                 hand_left=(1.4, 4.2, -2.9), hand_right=(-1.4, 4.2, -2.9))),
    Photo("boat_mls_b", "mud-day", "11:23:16.230", "the same, Pim's arms go up",
          _BOAT_MLS, pim=PimPose(head=(10, -12, 7), lean=-4, mouth=0.6, smile=0.1, brow=0.9,
                                 gaze=(4, -6), lid=0.05, hand_left=(4.4, 8.2, -1.2),
                                 hand_right=(-4.4, 8.0, -1.4))),
    Photo("over_pim", "mud-day", "11:41:55.660", "over Pim's shoulder up to Odd on the quay",
          _OVER, odd=OddPose(_OVER_ODD, -72, 3, (-16, 4, 0), brow=-0.2, gaze=(-12, 4), lid=0.4),
          pim=PimPose(turn=2, head=(22, 0, 0))),
    Photo("over_pim_b", "mud-day", "11:45:02.190", "the same, Odd leans forward",
          _OVER, odd=OddPose(_OVER_ODD, -66, 25, (-2, 10, 5), brow=0.6, mouth=0.7, gaze=(-8, 6),
                             lid=0.15, hand_left=(5.6, 7.2, -5.2), hand_right=(-2.6, 5.0, -4.6)),
          pim=PimPose(turn=2, head=(26, -14, 3))),
    Photo("pim_cu", "mud-day", "12:03:37.020", "Pim looking up",
          _PIM_CU, pim=PimPose(head=(24, -8, 4), mouth=0.25, smile=0.0, brow=0.7, gaze=(14, -10),
                               lid=0.05)),
    Photo("shed_ws", "shed", "13:32:18.400", "Odd from behind among the things in the shed",
          _SHED_WS, odd=OddPose((-42.5, 0.5, 44.5), 212, 4, (8, 18, 0), hand_left=(5.6, 10.5, -4.4),
                                hand_right=(-4.9, 5.5, -2))),
    Photo("shed_ws_b", "shed", "13:36:44.870", "the same, Odd bends at the chest",
          _SHED_WS, odd=OddPose((-42.0, 0.5, 43.9), 184, 34, (-6, 0, 0),
                                hand_left=(3.0, 5.4, -6.2), hand_right=(-3.0, 5.6, -6.4))),
    Photo("bell_portrait", "shed", "14:05:29.310", "the bell on the shelf under the bulb",
          Camera((-38.7, 13.2, 36.2), (-40.9, 15.7, 54.5), 29, focus=(-40.2, 14, 53.2),
                 aperture=1.3),
          rig=replace(RIGS["shed"], bulb_at=(-41.6, 19.0, 49.3), exposure=0.85),
          bell="shelf", dust=True, portrait=True),
    Photo("odd_bell_ms", "shed", "14:31:07.940", "Odd holds the bell under the bulb",
          _BELL_MS, odd=OddPose((-38.8, 0.5, 48.6), 58, 3, (-13, 2, 3),
                                hand_left=(3.0, 6.6, -5.4), hand_right=(-3.0, 6.6, -5.4),
                                brow=0.35, gaze=(-14, 0), lid=0.35,
                                carries_bell=(0, 11.2, -6.0))),
    Photo("odd_bell_ms_b", "shed", "14:34:50.580", "the same, Odd looks up",
          _BELL_MS, odd=OddPose((-38.8, 0.5, 48.6), 52, -3, (15, -8, -5),
                                hand_left=(3.0, 7.4, -5.4), hand_right=(-3.0, 7.4, -5.4),
                                brow=0.9, mouth=0.35, gaze=(12, 8), lid=0.08,
                                carries_bell=(0, 12.0, -6.0))),
    Photo("dusk_ls", "quay-dusk", "16:02:13.760", "Odd under the lamp post, the bell on its arm",
          _DUSK_LS, odd=OddPose((-18.0, 0, 19.4), -24, -2, (15, 24, 4),
                                hand_left=(4.7, 3.8, -1.6)), bell="hung"),
    Photo("dusk_ls_b", "quay-dusk", "16:05:58.220", "the same, Odd pulls the rope, the bell swings",
          _DUSK_LS, odd=OddPose((-18.4, 0, 20.0), -58, -9, (12, 0, 0),
                                hand_left=(1.3, 11.4, -5.6), hand_right=(0.6, 8.8, -5.6),
                                brow=0.6, mouth=0.6, lid=0.15),
          bell="hung", swing=27, rope_to=(-12.5, 12.0, 17.9)),
    Photo("bell_cu", "quay-dusk", "16:18:34.090", "the bell swings, the lamp glows behind",
          Camera((-3.5, 9.5, 5.5), (-15.9, 22.2, 22), 41, focus=(-14.0, 19, 21), aperture=2.0),
          bell="hung", swing=-24),
    Photo("horizon_pov", "quay-dusk", "16:29:41.430", "basin and horizon, first glint of water",
          Camera((-13.5, 15, 0), (8, -3.5, 80), 47, focus=(8, -10, 50), aperture=0.6),
          rig=replace(_DUSK, water=-11.15)),
    Photo("pim_dusk_cu", "quay-dusk", "16:47:26.880", "Pim listens, lamp light on the cheek",
          _DUSK_CU, pim=PimPose(turn=-116, head=(8, -16, 6), smile=-0.1, brow=0.5, gaze=(6, -14),
                                lid=0.15),
          rig=_FLOOD),
    Photo("pim_dusk_cu_b", "quay-dusk", "16:49:59.150", "the same, Pim smiles, head turned",
          _DUSK_CU, pim=PimPose(turn=-118, head=(12, 20, -6), smile=1.0, mouth=0.3, brow=0.9,
                                gaze=(5, 8), lid=0.12),
          rig=_FLOOD),
    Photo("water_ws", "quay-dusk", "17:12:03.540", "the basin full, the boat afloat",
          Camera((30, 8.5, -42), (-7.5, 8.2, 20), 53, focus=(0, 0, 16), aperture=0.9),
          odd=OddPose((-18.2, 0, 15), -48, 2, (-6, 4, 0), hand_left=(5.8, 15.6, -2.0), brow=0.6),
          pim=PimPose(turn=-74, head=(14, -10, 5), smile=0.9, mouth=0.3,
                      hand_right=(-4.2, 8.8, -1.2)),
          bell="hung", rig=replace(_FLOOD, boat=(9.0, -4.2, 13.0), boat_turn=108)),
    Photo("boat_away", "quay-dusk", "17:31:47.660", "the boat far out with a lantern, Odd ashore",
          Camera((-23, 16, -45), (0.5, 7.6, 60), 43, focus=(-17, 10, 4), aperture=0.45),
          odd=OddPose((-18.6, 0, 4), 196, 0, (4, 8, 0), hand_left=(5.4, 16.5, -1.0)),
          pim=PimPose(turn=0), bell="hung",
          rig=replace(_FLOOD, wall_front=False, boat=(29, -4.2, 74), boat_turn=58,
                      boat_roll=2.0, boat_lantern=2.2, oars_out=True, exposure=1.15)),
)  # fmt: skip
