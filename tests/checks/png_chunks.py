#!/usr/bin/python3
# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""png_chunks.py FILE.png: checks every chunk's CRC and prints size and resolution.
png_chunks.py --ink-rows FILE.png: the first and last row with a pixel darker than half.
png_chunks.py --differ A.png B.png: share of pixels that differ by more than half of full scale.
A reader of its own with Python's zlib (W3C PNG), apart from the library that writes."""
import struct
import sys
import zlib

import numpy as np


def chunks(path):
    data = open(path, "rb").read()
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    at = 8
    while at < len(data):
        (length,) = struct.unpack(">I", data[at:at + 4])
        kind, body = data[at + 4:at + 8], data[at + 8:at + 8 + length]
        (crc,) = struct.unpack(">I", data[at + 8 + length:at + 12 + length])
        assert crc == zlib.crc32(kind + body), kind
        yield kind, body
        at += 12 + length


def paeth(a, b, c):
    p = a + b - c
    pa, pb, pc = abs(p - a), abs(p - b), abs(p - c)
    return a if pa <= pb and pa <= pc else (b if pb <= pc else c)


def grey(path):
    """Rows of grey values 0..255 of an 8-bit RGB or RGBA picture."""
    all_chunks = list(chunks(path))
    width, height, depth, colour = struct.unpack(">IIBB", all_chunks[0][1][:10])
    assert depth == 8 and colour in (2, 6)
    step = 3 if colour == 2 else 4
    raw = zlib.decompress(b"".join(body for kind, body in all_chunks if kind == b"IDAT"))
    rows, above = [], bytearray(width * step)
    for y in range(height):
        start = y * (width * step + 1)
        method, row = raw[start], bytearray(raw[start + 1:start + 1 + width * step])
        for i in range(len(row)):
            left = row[i - step] if i >= step else 0
            corner = above[i - step] if i >= step else 0
            row[i] = (row[i] + (0, left, above[i], (left + above[i]) // 2, paeth(left, above[i], corner))[method]) % 256
        rows.append(row)
        above = row
    return np.array(rows, float).reshape(height, width, step)[:, :, :3].mean(axis=2)


if sys.argv[1] == "--ink-rows":
    dark = np.nonzero((grey(sys.argv[2]) < 128).any(axis=1))[0]
    print(f"ink in rows {dark[0]} to {dark[-1]}")
elif sys.argv[1] == "--differ":
    print((abs(grey(sys.argv[2]) - grey(sys.argv[3])) > 128).mean())
else:
    for kind, body in chunks(sys.argv[1]):
        if kind == b"IHDR":
            print("IHDR", *struct.unpack(">IIBB", body[:10]))
        if kind == b"pHYs":
            print("pHYs", *struct.unpack(">IIB", body))
