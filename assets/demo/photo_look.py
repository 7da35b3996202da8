"""What a small phone camera does to a scene at dusk: lens, sensor, development and the file it writes.

Pictures are float arrays of shape (height, width, 3), linear light, sRGB primaries, 0 to 1.
"""

import io

import numpy as np
import piexif
from PIL import Image


def to_linear(srgb):
    """sRGB 0-1 to linear light (IEC 61966-2-1)."""
    srgb = np.asarray(srgb, dtype=np.float64)
    return np.where(srgb <= 0.04045, srgb / 12.92, ((srgb + 0.055) / 1.055) ** 2.4)


def to_srgb(linear):
    """Linear light to sRGB 0-1 (IEC 61966-2-1)."""
    linear = np.clip(linear, 0.0, 1.0)
    return np.where(linear <= 0.0031308, linear * 12.92, 1.055 * linear ** (1 / 2.4) - 0.055)


def blur(plane, sigma_x, sigma_y=None):
    """Gaussian blur of a picture or plane by its Fourier transform, edges mirrored; sigmas in pixels."""
    sigma_y = sigma_x if sigma_y is None else sigma_y
    if plane.ndim == 3:
        return np.stack([blur(plane[..., c], sigma_x, sigma_y) for c in range(plane.shape[2])], axis=-1)
    pad_y, pad_x = (min(int(4 * s) + 2, n - 1) for s, n in zip((sigma_y, sigma_x), plane.shape))
    padded = np.pad(plane, ((pad_y, pad_y), (pad_x, pad_x)), mode="reflect")
    fy, fx = np.fft.fftfreq(padded.shape[0])[:, None], np.fft.rfftfreq(padded.shape[1])[None, :]
    gain = np.exp(-2 * np.pi**2 * ((fy * sigma_y) ** 2 + (fx * sigma_x) ** 2))
    smooth = np.fft.irfft2(np.fft.rfft2(padded) * gain, s=padded.shape)
    return smooth[pad_y:pad_y + plane.shape[0], pad_x:pad_x + plane.shape[1]]


def lens(picture):
    """Veiling glare around lamps, slight softness that grows to the corners, lateral colour, vignetting."""
    height, width, _ = picture.shape
    lamps = np.maximum(picture - 0.22, 0.0)
    picture = picture + 0.075 * blur(lamps, 16) + 0.10 * blur(lamps, 70)
    y, x = np.mgrid[0:height, 0:width]
    radius = np.hypot((x - width / 2) / (width / 2), (y - height / 2) / (width / 2))[..., None]
    corner = np.clip((radius - 0.55) / 0.7, 0.0, 1.0) ** 1.5
    picture = blur(picture, 0.75) * (1 - corner) + blur(picture, 1.5) * corner
    for channel, scale in ((0, 1.0012), (1, 1.0006)):
        picture[..., channel] = _scaled(picture[..., channel], scale)
    return picture * (1.0 - 0.17 * radius**2.4)


def _scaled(plane, scale):
    """The plane magnified about its centre; `scale` is at least 1."""
    height, width = plane.shape
    dx, dy = (width - width / scale) / 2, (height - height / scale) / 2
    image = Image.fromarray(plane.astype(np.float32))
    box = (dx, dy, width - dx, height - dy)
    return np.asarray(image.resize((width, height), Image.Resampling.BICUBIC, box=box), dtype=np.float64)


def sensor(picture, rng):
    """Developed sRGB 0-1 with luminance grain, blotchy colour noise and single saturated colour specks."""
    height, width, _ = picture.shape
    srgb = to_srgb(picture)
    value = srgb.mean(axis=-1, keepdims=True)
    grain = blur(rng.standard_normal((height, width)), 0.55)[..., None]
    grain /= grain.std()
    srgb = srgb + grain * (0.027 - 0.014 * value)
    for sigma, strength in ((1.1, 0.010), (5.0, 0.006)):
        for channel, share in enumerate((1.0, 0.6, 1.15)):
            noise = blur(rng.standard_normal((height, width)), sigma)
            srgb[..., channel] += noise / noise.std() * strength * share * (1.15 - value[..., 0])
    count = int(0.005 * height * width)
    rows, columns = rng.integers(0, height, count), rng.integers(0, width, count)
    channels = rng.choice(3, count, p=[0.42, 0.16, 0.42])
    darkness = 1.1 - value[rows, columns, 0]
    srgb[rows, columns, channels] += rng.gamma(2.0, 0.14, count) * darkness
    others = rng.integers(1, 3, count)
    srgb[rows, columns, (channels + others) % 3] -= rng.gamma(2.0, 0.03, count) * darkness
    return np.clip(srgb, 10 / 255, 244 / 255)


def phone_jpeg(srgb, quality, taken):
    """The bytes a phone held upright writes: pixels lie on their side, EXIF Orientation 6 says how to turn them."""
    pixels = np.round(srgb * 255).astype(np.uint8)
    stored = Image.fromarray(pixels).transpose(Image.Transpose.ROTATE_90)
    exif = piexif.dump({
        "0th": {
            piexif.ImageIFD.Make: "Invented",
            piexif.ImageIFD.Model: "Pocket Camera 1",
            piexif.ImageIFD.Orientation: 6,
            piexif.ImageIFD.XResolution: (72, 1),
            piexif.ImageIFD.YResolution: (72, 1),
            piexif.ImageIFD.ResolutionUnit: 2,
            piexif.ImageIFD.Software: "make_reference.py",
            piexif.ImageIFD.DateTime: taken,
        },
        "Exif": {
            piexif.ExifIFD.DateTimeOriginal: taken,
            piexif.ExifIFD.ExposureTime: (1, 15),
            piexif.ExifIFD.FNumber: (18, 10),
            piexif.ExifIFD.ISOSpeedRatings: 1600,
            piexif.ExifIFD.FocalLength: (45, 10),
            piexif.ExifIFD.ColorSpace: 1,
            piexif.ExifIFD.PixelXDimension: stored.width,
            piexif.ExifIFD.PixelYDimension: stored.height,
        },
    })
    file = io.BytesIO()
    stored.save(file, "JPEG", quality=quality, subsampling="4:4:4", optimize=True, exif=exif)
    return file.getvalue()
