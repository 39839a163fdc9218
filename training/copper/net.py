"""The pixel network: what each pixel of a foil photograph shows.

The Go side (internal/copper/pixelnet) walks the same layers in the same order;
export() writes the weights in that order, batch norms folded in.
"""

import struct

import numpy as np
import torch
from torch import nn
from torch.nn import functional as F

CLASSES = 6  # background, bare board, copper, solder, hole, wire
PER_PIXEL = CLASSES + 1  # and whether there is metal, also under a wire
WIDTHS = (24, 40, 72, 128, 192)  # channels at 1/2, 1/4, 1/8, 1/16, 1/32


SHIFTED = False  # depthwise convolutions as sums of shifted planes: faster when compiled


def shifted(x, conv):
    k, s = conv.kernel_size[0], conv.stride[0]
    h, w = x.shape[2:]
    x = F.pad(x, (k // 2,) * 4)
    taps = conv.weight[:, 0, :, :, None, None].to(x.dtype)
    out = 0
    for ky in range(k):
        for kx in range(k):
            out = out + taps[:, ky, kx] * x[:, :, ky : ky + h : s, kx : kx + w : s]
    return out


class Conv(nn.Module):
    """A convolution with its batch norm and, unless told not to, a rectifier."""

    def __init__(self, cin, cout, k=1, stride=1, groups=1, relu=True):
        super().__init__()
        self.conv = nn.Conv2d(cin, cout, k, stride, k // 2, groups=groups, bias=False)
        self.norm = nn.BatchNorm2d(cout)
        self.relu = relu

    def forward(self, x):
        x = self.norm(shifted(x, self.conv) if SHIFTED and self.conv.groups > 1 else self.conv(x))
        return F.relu(x) if self.relu else x


class Sep(nn.Module):
    """A depthwise and a pointwise convolution; a shortcut where shapes allow."""

    def __init__(self, cin, cout, k=3, stride=1):
        super().__init__()
        self.deep = Conv(cin, cin, k, stride, groups=cin, relu=False)
        self.point = Conv(cin, cout)
        self.short = cin == cout and stride == 1

    def forward(self, x):
        y = self.point(self.deep(x))
        return x + y if self.short else y


class Up(nn.Module):
    """Brings a coarser plane up to a finer one."""

    def __init__(self, cin, cout):
        super().__init__()
        self.point = Conv(cin, cout, relu=False)

    def forward(self, x, skip):
        return F.interpolate(self.point(x), scale_factor=2, mode="nearest") + skip


class PixelNet(nn.Module):
    def __init__(self):
        super().__init__()
        a, b, c, d, e = WIDTHS
        self.stem = Conv(12, a, 3)
        self.down4 = Sep(a, b, stride=2)
        self.at4 = nn.ModuleList([Sep(b, b) for _ in range(2)])
        self.down8 = Sep(b, c, stride=2)
        self.at8 = nn.ModuleList([Sep(c, c) for _ in range(3)])
        self.down16 = Sep(c, d, stride=2)
        self.at16 = nn.ModuleList([Sep(d, d, 5) for _ in range(4)])
        self.down32 = Sep(d, e, stride=2)
        self.at32 = nn.ModuleList([Sep(e, e, 5) for _ in range(3)])
        self.whole = nn.Linear(e, e)
        self.up16 = Up(e, d)
        self.back16 = Sep(d, d)
        self.up8 = Up(d, c)
        self.back8 = nn.ModuleList([Sep(c, c) for _ in range(2)])
        self.up4 = Up(c, b)
        self.back4 = nn.ModuleList([Sep(b, b) for _ in range(2)])
        self.up2 = Up(b, a)
        self.back2 = nn.ModuleList([Sep(a, a) for _ in range(2)])
        self.pixels = nn.Conv2d(a, 4 * PER_PIXEL, 1)
        self.joints = nn.Conv2d(b, 3, 1)  # at 1/4: joint here, its offset x, y

    def forward(self, x):
        """x: N×3×H×W in 0..1, H and W multiples of 32."""
        x = F.pixel_unshuffle(x - 0.5, 2)
        x2 = self.stem(x)
        x4 = run(self.at4, self.down4(x2))
        x8 = run(self.at8, self.down8(x4))
        x16 = run(self.at16, self.down16(x8))
        x32 = run(self.at32, self.down32(x16))
        x32 = x32 + self.whole(x32.mean((2, 3)))[:, :, None, None]
        y = self.back16(self.up16(x32, x16))
        y = run(self.back8, self.up8(y, x8))
        y4 = run(self.back4, self.up4(y, x4))
        y = run(self.back2, self.up2(y4, x2))
        return F.pixel_shuffle(self.pixels(y), 2), self.joints(y4)


def run(layers, x):
    for layer in layers:
        x = layer(x)
    return x


def folded(m):
    """Weights and bias of a Conv with its batch norm folded in."""
    k = m.norm.weight / torch.sqrt(m.norm.running_var + m.norm.eps)
    return m.conv.weight * k[:, None, None, None], m.norm.bias - m.norm.running_mean * k


def flat(m):
    """All arrays below m in the order of the Go side: out, ky, kx, in."""
    if isinstance(m, Conv):
        w, b = folded(m)
        if m.conv.groups > 1:  # depthwise: ky, kx, channel
            return [w[:, 0].permute(1, 2, 0), b]
        return [w.permute(0, 2, 3, 1), b]
    if isinstance(m, nn.Conv2d):
        return [m.weight.permute(0, 2, 3, 1), m.bias]
    if isinstance(m, nn.Linear):
        return [m.weight, m.bias]
    return [a for child in m.children() for a in flat(child)]


def export(net, path):
    """Writes all weights as little-endian 16-bit floats behind their count."""
    arrays = [a.detach().float().cpu().numpy().ravel() for a in flat(net)]
    v = np.concatenate(arrays).astype("<f2")
    with open(path, "wb") as f:
        f.write(struct.pack("<I", len(v)))
        f.write(v.tobytes())
    return len(v)
