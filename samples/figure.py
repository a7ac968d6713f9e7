"""The athlete painted limb by limb, far side first."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from app.media.opencv import opencv
from samples.camera import SHIFT, Camera
from samples.flywheel import FloatArray
from samples.paint import LAYERS, Image, Tone, fill, profile, ribbon, straight, through

cv2 = opencv()

Points = Mapping[str, FloatArray]

SKIN = Tone((88, 112, 168), (150, 180, 226))
SHIRT = Tone((116, 92, 22), (196, 166, 64))
SHORTS = Tone((44, 32, 26), (92, 72, 60))
SHOE = Tone((52, 50, 48), (104, 100, 98))
SOCK = Tone((190, 192, 192), (240, 242, 242))
HAIR = Tone((24, 30, 44), (54, 66, 90))
STEEL = Tone((70, 70, 72), (170, 170, 172))
FAR = 0.66
FAR_SHIFT = np.array((-0.012, 0.022))  # the far side, a little higher by perspective

_N = 13
_THIGH_UP = profile([(0.0, 0.088), (0.35, 0.092), (0.8, 0.066), (1.0, 0.060)], _N)
_THIGH_DOWN = profile([(0.0, 0.095), (0.35, 0.084), (0.8, 0.058), (1.0, 0.052)], _N)
_CALF = profile([(0.0, 0.050), (0.28, 0.064), (0.65, 0.042), (1.0, 0.036)], _N)
_SHIN = profile([(0.0, 0.058), (0.2, 0.050), (0.65, 0.036), (1.0, 0.034)], _N)
_UPPER_ARM = profile([(0.0, 0.058), (0.4, 0.049), (1.0, 0.038)], _N)
_SLEEVE = profile([(0.0, 0.066), (0.6, 0.062), (1.0, 0.061)], 7)
_FOREARM = profile([(0.0, 0.040), (0.28, 0.044), (0.8, 0.029), (1.0, 0.027)], _N)
_BACK = profile([(0.0, 0.112), (0.28, 0.082), (0.62, 0.098), (0.9, 0.082), (1.0, 0.062)], 21)
_FRONT = profile([(0.0, 0.098), (0.28, 0.096), (0.62, 0.122), (0.9, 0.086), (1.0, 0.062)], 21)
_HEAD = np.array(
    (
        (-0.030, 0.118), (-0.066, 0.098), (-0.086, 0.066), (-0.090, 0.030), (-0.095, 0.004),
        (-0.107, -0.026), (-0.094, -0.040), (-0.092, -0.062), (-0.087, -0.088), (-0.066, -0.108),
        (-0.030, -0.098), (0.010, -0.070), (0.040, -0.070), (0.080, -0.030), (0.098, 0.020),
        (0.092, 0.070), (0.060, 0.106), (0.015, 0.122),
    )
)  # fmt: skip
_HAIR = np.array(
    (
        (-0.078, 0.080), (-0.060, 0.112), (-0.020, 0.130), (0.030, 0.130), (0.075, 0.108),
        (0.104, 0.062), (0.108, 0.010), (0.094, -0.040), (0.066, -0.068), (0.050, -0.050),
        (0.046, -0.008), (0.020, 0.014), (0.006, 0.044), (-0.026, 0.066),
    )
)  # fmt: skip


def paint_athlete(image: Image, camera: Camera, at: Points) -> None:
    """Paint the athlete of one frame: `at` gives (2,) m by point name."""
    far = {name: point + FAR_SHIFT for name, point in at.items()}
    _arm(image, camera, far, FAR)
    _leg(image, camera, far, FAR)
    _neck_and_head(image, camera, at)
    _trunk(image, camera, at)
    _leg(image, camera, at, 1.0)
    _handle(image, camera, at["handle"])
    _arm(image, camera, at, 1.0)
    _handle_end(image, camera, at["handle"])
    _soften(image, camera, at)


def _leg(image: Image, camera: Camera, at: Points, light: float) -> None:
    hip, knee, ankle = at["hip"], at["knee"], at["ankle"]
    skin = SKIN.dimmed(light)
    ribbon(image, camera, straight(knee, ankle, _N), _CALF, _SHIN, skin)
    sock = ankle + (knee - ankle) * 0.17
    ribbon(image, camera, straight(sock, ankle, 5), [0.039] * 5, [0.038] * 5, SOCK.dimmed(light))
    _shoe(image, camera, at, light)
    ribbon(image, camera, straight(hip, knee, _N), _THIGH_DOWN, _THIGH_UP, skin)
    cut = 8
    cloth = straight(hip, hip + (knee - hip) * 0.60, cut)
    places = np.linspace(0.0, 0.60 * (_N - 1), cut)
    down = np.interp(places, np.arange(_N), _THIGH_DOWN) + 0.007
    up = np.interp(places, np.arange(_N), _THIGH_UP) + 0.007
    _cuffed(image, camera, cloth, down, up, SHORTS.dimmed(light))


def _cuffed(
    image: Image, camera: Camera, spine: FloatArray, left: FloatArray, right: FloatArray, tone: Tone
) -> None:
    """A sleeve or trouser leg: round where it meets the body, nearly cut off at its hem."""
    # A last, very short piece turns the rounded end into a hem.
    tip = spine[-1] + (spine[-1] - spine[-2]) * 0.05
    spine = np.concatenate((spine, tip[None]))
    ribbon(image, camera, spine, np.append(left, 0.001), np.append(right, 0.001), tone)


def _shoe(image: Image, camera: Camera, at: Points, light: float) -> None:
    heel, toe = at["heel"], at["toe"]
    along = toe - heel
    length = float(np.hypot(*along))
    along = along / length
    up = np.array((-along[1], along[0]))
    up = up if up[1] > 0 else -up

    def on(forward: float, high: float) -> FloatArray:
        return heel + along * forward + up * high

    sole = np.array((on(-0.018, -0.004), on(-0.020, 0.016), on(length, 0.016), on(length, -0.004)))
    upper = np.stack(
        (on(-0.018, 0.012), on(-0.020, 0.050), on(0.0, 0.088), on(0.055, 0.092), on(0.12, 0.068),
         on(0.20, 0.050), on(length - 0.01, 0.036), on(length + 0.004, 0.012))
    )  # fmt: skip
    tone = SHOE.dimmed(light)
    fill(image, camera, through(upper, 30), tone.dark)
    inner = upper.mean(axis=0) + (upper - upper.mean(axis=0)) * 0.78 + np.array((-0.004, 0.006))
    fill(image, camera, through(inner, 30), tone.light)
    fill(image, camera, sole, SOCK.dimmed(0.9 * light).light)
    strap = np.stack((on(0.125, 0.0), on(0.125, 0.072), on(0.155, 0.066), on(0.155, 0.0)))
    fill(image, camera, strap, (30, 30, 32))


def _trunk(image: Image, camera: Camera, at: Points) -> None:
    joints = np.stack([at[n] for n in ("hip", "low_back", "chest", "shoulder")])
    spine = through(joints, 21)
    # Seen from hip to shoulder of somebody looking left, the front is on the left hand.
    ribbon(image, camera, spine, _FRONT, _BACK, SHIRT)
    hips = spine[:6]
    ribbon(image, camera, hips, _FRONT[:6] + 0.004, _BACK[:6] + 0.004, SHORTS)
    edge = spine[4:17] + (spine[5] - spine[4]) * 0.0
    normal = np.gradient(edge, axis=0)
    normal /= np.hypot(*normal.T)[:, None]
    side = edge + np.stack((normal[:, 1], -normal[:, 0]), axis=1) * 0.018
    ribbon(image, camera, side, [0.007] * 13, [0.007] * 13, Tone((150, 140, 96), (214, 206, 160)))


def _neck_and_head(image: Image, camera: Camera, at: Points) -> None:
    head, shoulder, chest = at["head"], at["shoulder"], at["chest"]
    up = head - shoulder
    up = up / np.hypot(*up)
    nape = shoulder + (shoulder - chest) * 0.10
    base = head - up * 0.05 + np.array((0.022, 0.0))
    ribbon(image, camera, straight(nape, base, 7), [0.056] * 7, [0.058] * 7, SKIN.dimmed(0.93))
    turn = np.array(((up[1], up[0]), (-up[0], up[1])))
    outline = through(np.concatenate((_HEAD, _HEAD[:1])), 60) @ turn.T + head
    _lit(image, camera, outline, head, np.array((-0.036, 0.024)), SKIN)
    hair = through(np.concatenate((_HAIR, _HAIR[:1])), 50) @ turn.T + head
    crown = head + turn @ np.array((0.02, 0.07))
    _lit(image, camera, hair, crown, np.zeros(2), HAIR)
    ear = head + turn @ np.array((0.018, -0.008))
    axes = (camera.length(0.016), camera.length(0.026))
    centre = (int(v) for v in camera.fixed(ear))
    cv2.ellipse(
        image,
        tuple(centre),
        (axes[0] << SHIFT, axes[1] << SHIFT),
        10.0,
        0.0,
        360.0,
        (108, 136, 190),
        -1,
        cv2.LINE_AA,
        SHIFT,
    )


def _lit(
    image: Image,
    camera: Camera,
    outline: FloatArray,
    centre: FloatArray,
    lamp: FloatArray,
    tone: Tone,
) -> None:
    """Fill an outline in steps that grow lighter towards `centre`, drawn on towards the lamp."""
    for layer, colour in zip(LAYERS, tone.steps(), strict=True):
        share = 1.0 - 0.66 * float(layer)
        inner = centre + (outline - centre) * share + lamp * (1.0 - share)
        fill(image, camera, inner, colour)


def _handle(image: Image, camera: Camera, grip: FloatArray) -> None:
    ends = np.stack((grip + np.array((-0.014, 0.024)), grip + np.array((0.004, -0.006))))
    ribbon(image, camera, ends, [0.016, 0.017], [0.016, 0.017], Tone((34, 34, 36), (84, 84, 88)))


def _handle_end(image: Image, camera: Camera, grip: FloatArray) -> None:
    """The end of the bar that points at the camera, past the little finger."""
    centre = tuple(camera.fixed(grip).tolist())
    for radius, colour in ((0.0185, (26, 26, 28)), (0.0145, (62, 62, 66)), (0.007, (96, 96, 100))):
        size = round(radius * camera.scale * (1 << SHIFT))
        cv2.circle(image, centre, size, colour, -1, cv2.LINE_AA, SHIFT)


def _soften(image: Image, camera: Camera, at: Points) -> None:
    """Blur the painted figure as much as a lens would, so that no polygon shows its edge."""
    corners = camera.pixels(np.stack(tuple(at.values())))
    margin = camera.length(0.16)
    left, top = np.maximum(corners.min(axis=0).astype(int) - margin, 0)
    right, bottom = corners.max(axis=0).astype(int) + margin
    part = image[top:bottom, left:right]
    part[:] = cv2.GaussianBlur(part, (3, 3), 0.8 if camera.scale > 400.0 else 0.5)


def _arm(image: Image, camera: Camera, at: Points, light: float) -> None:
    shoulder, elbow, wrist, grip = at["shoulder"], at["elbow"], at["wrist"], at["handle"]
    skin = SKIN.dimmed(light)
    ribbon(image, camera, straight(shoulder, elbow, _N), _UPPER_ARM, _UPPER_ARM, skin)
    ribbon(image, camera, straight(elbow, wrist, _N), _FOREARM, _FOREARM, skin)
    sleeve = straight(shoulder, shoulder + (elbow - shoulder) * 0.52, 7)
    _cuffed(image, camera, sleeve, _SLEEVE, _SLEEVE, SHIRT.dimmed(light))
    toward = grip - wrist
    toward = toward / np.hypot(*toward)
    knuckles = grip + toward * 0.020
    ribbon(
        image, camera, straight(wrist, knuckles, 6),
        profile([(0.0, 0.026), (0.5, 0.036), (1.0, 0.030)], 6),
        profile([(0.0, 0.026), (0.5, 0.034), (1.0, 0.032)], 6), skin,
    )  # fmt: skip
