# Prints the first row of a picture brought to sRGB by littleCMS through the profile it carries: one line a pixel. Pillow knows no cICP.
import io
import sys

from PIL import Image, ImageCms

picture = Image.open(sys.argv[1])
profile = ImageCms.ImageCmsProfile(io.BytesIO(picture.info["icc_profile"]))
intent = ImageCms.Intent.RELATIVE_COLORIMETRIC
seen = ImageCms.profileToProfile(picture, profile, ImageCms.createProfile("sRGB"), renderingIntent=intent)
print(ImageCms.getProfileDescription(profile).strip())
for x in range(seen.width):
    print(*seen.getpixel((x, 0)))
