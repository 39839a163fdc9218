"""Trains the pixel network on rendered foil photographs.

    trainingset -from 1 -to 1200 -out DIR     # Go: internal/specimen/cmd/trainingset
    python3 train.py DIR OUT --until $(($(date +%s) + 400))

Needs PyTorch and an accelerator; nothing else in Foilside does. Real
photographs are never trained on.
"""

import argparse
import copy
import json
import math
import pathlib
import random
import signal
import time
from concurrent.futures import ThreadPoolExecutor

import cv2
import numpy as np
import torch
from torch.nn import functional as F

import net as network
from net import CLASSES, PixelNet, export

SIDE = 384  # of a training window
OUTSIDE = 255  # label beyond the picture
HELD_OUT = 16  # every so many-th picture is kept for checking


def read(path):
    """A picture, the same at half size, its labels and its joints."""
    img = cv2.cvtColor(cv2.imread(str(path)), cv2.COLOR_BGR2RGB)
    small = cv2.resize(img, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    label = cv2.imread(str(path.with_suffix(".png")), cv2.IMREAD_UNCHANGED)
    joints = json.loads(path.with_suffix(".json").read_text())
    return img, small, label, np.array([[j["x"], j["y"]] for j in joints], np.float64).reshape(-1, 2)


def window(item, rng, plain):
    """One random window of a picture, turned, mirrored and resized."""
    img, small, label, pts = item
    h, w = label.shape
    scale = 1.0 if plain else math.exp(rng.uniform(math.log(0.5), math.log(2.0)))
    angle = 0.0 if plain else rng.choice([0, 1, 2, 3]) * math.pi / 2 + rng.gauss(0, 0.2)
    flip = 1.0 if plain or rng.random() < 0.5 else -1.0
    squeeze = 1.0 if plain else math.exp(rng.gauss(0, 0.06))
    s, c = math.sin(angle) / scale, math.cos(angle) / scale
    cx, cy = rng.uniform(0.1, 0.9) * w, rng.uniform(0.1, 0.9) * h
    if len(pts) and rng.random() < 0.6:  # where there is something to see
        cx, cy = rng.choice(pts) + [rng.gauss(0, SIDE / 3), rng.gauss(0, SIDE / 3)]
    m = np.array([[c * flip * squeeze, -s], [s * flip * squeeze, c]])  # window → picture
    t = np.array([cx, cy]) - m @ np.array([SIDE / 2 - 0.5, SIDE / 2 - 0.5])
    full = np.hstack([m, t[:, None]])
    flags = cv2.WARP_INVERSE_MAP
    if scale < 0.75:
        half = np.hstack([m / 2, (t[:, None] - 0.5) / 2])
        x = cv2.warpAffine(small, half, (SIDE, SIDE), flags=flags | cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT)
    else:
        x = cv2.warpAffine(img, full, (SIDE, SIDE), flags=flags | cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT)
    y = cv2.warpAffine(label, full, (SIDE, SIDE), flags=flags | cv2.INTER_NEAREST, borderMode=cv2.BORDER_CONSTANT, borderValue=OUTSIDE)
    q = (pts - t) @ np.linalg.inv(m).T
    q = q[((q >= 0) & (q <= SIDE - 1)).all(1)]
    return (x, y, *joint_target(q))


def joint_target(q):
    """At 1/4: 1 in a joint's cell, and its place in the cell, in cells."""
    n = SIDE // 4
    heat, off = np.zeros((n, n), np.float32), np.zeros((2, n, n), np.float32)
    for at in (q + 0.5) / 4 - 0.5:
        cx, cy = np.clip(np.round(at).astype(int), 0, n - 1)
        heat[cy, cx] = 1
        off[:, cy, cx] = at - (cx, cy)
    return heat, off


class Windows(torch.utils.data.IterableDataset):
    """Endless random windows; each worker draws its own."""

    def __init__(self, items, seed, plain=False, count=None):
        self.items, self.seed, self.plain, self.count = items, seed, plain, count

    def __iter__(self):
        info = torch.utils.data.get_worker_info()
        cv2.setNumThreads(0)
        rng = random.Random(self.seed * 1000 + (info.id if info else 0))
        n = 0
        while self.count is None or n < self.count:
            n += 1
            yield window(rng.choice(self.items), rng, self.plain)


def to_device(b, device):
    x, y, heat, off = (v.to(device, non_blocking=True) for v in b)
    return x.permute(0, 3, 1, 2).float() / 255, y.long(), heat, off


def recolour(x, y):
    """Gives the materials other colours: each class its own shift, softened."""
    metal = ((y & 7) == 2) | ((y & 7) == 3)
    groups = [metal, (y & 7) == 1, (y & 7) == 3, (y & 7) == 2]
    for g in groups:
        if random.random() < 0.25:
            m = F.avg_pool2d(g[:, None].float(), 3, 1, 1)
            tint = torch.rand(x.shape[0], 3, 1, 1, device=x.device)
            k = random.uniform(0.1, 0.55)
            grey = x.mean(1, keepdim=True)
            x = x + m * k * (grey * tint / tint.mean(1, keepdim=True).clamp(0.2) - x)
    return x


def photograph(x):
    """Other light, other camera: colour balance, tone, slope, blur, noise."""
    n, dev = x.shape[0], x.device
    r = lambda lo, hi, c=1: torch.rand(n, c, 1, 1, device=dev) * (hi - lo) + lo
    if random.random() < 0.25:  # any hue
        order = torch.randperm(3)
        x = x[:, order]
    grey = x.mean(1, keepdim=True)
    x = grey + (x - grey) * r(0.2, 1.6)
    x = x.clamp(0, 1) * r(0.75, 1.3, 3).lerp(torch.ones(1, device=dev), 0.4) * r(0.65, 1.3)
    yy, xx = torch.meshgrid(torch.linspace(-1, 1, x.shape[2], device=dev), torch.linspace(-1, 1, x.shape[3], device=dev), indexing="ij")
    x = x * (1 + r(-0.35, 0.35) * xx + r(-0.35, 0.35) * yy)
    x = x.clamp(1e-4, 1) ** r(0.65, 1.6)
    if random.random() < 0.4:
        x = F.interpolate(F.avg_pool2d(x, 2), scale_factor=2, mode="bilinear")
    if random.random() < 0.3:
        blur = F.avg_pool2d(x, 3, 1, 1)
        x = x + random.uniform(-0.8, 1.0) * (x - blur)
    x = x + torch.randn_like(x) * r(0, 0.03) + F.interpolate(torch.randn(n, 3, x.shape[2] // 2, x.shape[3] // 2, device=dev), scale_factor=2, mode="bilinear") * r(0, 0.03)
    return x.clamp(0, 1)


def weights(metal):
    """Pixels that decide connections count more: narrow gaps, thin tracks."""
    m = metal[:, None].to(torch.bfloat16)
    pool = lambda v: F.max_pool2d(F.max_pool2d(v, (9, 1), 1, (4, 0)), (1, 9), 1, (0, 4))
    closed = -pool(-pool(m))
    opened = pool(-pool(-m))
    return (1 + 4 * (closed > m).float() + 3 * (opened < m).float())[:, 0]


def losses(net, x, y, heat, off):
    pix, jnt = net(x)
    seen = y != OUTSIDE
    cls = (y & 7).clamp(0, CLASSES - 1)
    metal = (seen & ((y & 8) > 0)).float()
    w = weights(metal) * seen
    ce = F.cross_entropy(pix[:, :CLASSES].float(), cls, reduction="none")
    bce = F.binary_cross_entropy_with_logits(pix[:, CLASSES].float(), metal, reduction="none")
    total = w.sum().clamp(1)
    pixel = ((0.5 * ce + bce) * w).sum() / total
    p = jnt[:, 0].float()
    hb = F.binary_cross_entropy_with_logits(p, heat, reduction="none", pos_weight=torch.tensor(40.0, device=x.device))
    beside = (F.max_pool2d(heat[:, None], 3, 1, 1)[:, 0] > 0) & (heat == 0)
    hb = (hb * torch.where(beside, 0.1, 1.0)).mean()
    count = heat.sum().clamp(1)
    ob = ((jnt[:, 1:].float() - off).abs() * heat[:, None]).sum() / count
    return pixel + 0.5 * hb + 0.05 * ob, (pixel, hb, ob)


@torch.no_grad()
def check(net, held, device):
    net.eval()
    inter = union = n = 0
    tp, tot = [0] * CLASSES, [0] * CLASSES
    loss = 0.0
    for b in held:
        x, y, _, _ = to_device(b, device)
        with torch.autocast(device.type, torch.bfloat16):
            pix, _ = net(x)
        pix = pix.float()
        seen = y != OUTSIDE
        metal, got = (y & 8 > 0) & seen, (pix[:, CLASSES] > 0) & seen
        inter += (metal & got).sum().item()
        union += (metal | got).sum().item()
        loss += (F.binary_cross_entropy_with_logits(pix[:, CLASSES], metal.float(), reduction="none") * seen).sum().item()
        n += seen.sum().item()
        c = pix[:, :CLASSES].argmax(1)
        for k in range(CLASSES):
            tp[k] += ((c == k) & (y & 7 == k) & seen).sum().item()
            tot[k] += ((y & 7 == k) & seen).sum().item()
    net.train()
    recall = [round(a / max(1, b), 3) for a, b in zip(tp, tot)]
    return f"held out: metal IoU {inter / max(1, union):.4f}, log loss {loss / n:.4f}, recall by class {recall}"


def fastest(net, device, batch):
    """Times the ways to run the network and returns the quickest of them."""
    x = torch.rand(batch, 3, SIDE, SIDE, device=device)
    y = torch.randint(0, 6, (batch, SIDE, SIDE), device=device)
    heat = torch.zeros(batch, SIDE // 4, SIDE // 4, device=device)
    off = torch.zeros(batch, 2, SIDE // 4, SIDE // 4, device=device)
    best, least = None, None
    for name, shift, last, compiled in [("plain", False, False, False), ("channels last", False, True, False), ("shifted", True, False, False), ("compiled", True, False, True)]:
        try:
            signal.alarm(170 if compiled else 30)
            network.SHIFTED = shift
            net.to(memory_format=torch.channels_last if last else torch.contiguous_format)
            f = torch.compile(net) if compiled else net
            for i in range(9):
                if i == 4:
                    torch.cuda.synchronize()
                    start = time.time()
                with torch.autocast(device.type, torch.bfloat16):
                    loss, _ = losses(f, x.to(memory_format=torch.channels_last) if last else x, y, heat, off)
                net.zero_grad()
                loss.backward()
            torch.cuda.synchronize()
            took = (time.time() - start) / 5
            print(f"{name}: {1000 * took:.0f} ms a step", flush=True)
            if least is None or took < least:
                best, least = (shift, last, f), took
        except Exception as e:
            print(f"{name}: {type(e).__name__} {str(e)[:200]}", flush=True)
        finally:
            signal.alarm(0)
    network.SHIFTED, last, f = best
    net.to(memory_format=torch.channels_last if last else torch.contiguous_format)
    return f, last


def late(*_):
    raise TimeoutError("took too long")


def save(net, out):
    """Weights for the Go side, and a small picture with its answer for its test."""
    was, network.SHIFTED = network.SHIFTED, False
    net = copy.deepcopy(net).cpu().eval().float().to(memory_format=torch.contiguous_format)
    print(export(net, out / "pixels.f16"), "weights", flush=True)
    torch.save(net.state_dict(), out / "net.pt")
    with torch.no_grad():
        g = torch.Generator().manual_seed(5)
        x = F.interpolate(torch.rand(1, 3, 8, 12, generator=g), scale_factor=8, mode="bilinear")
        x = (x * 255).round() / 255
        pix, jnt = net(x)
    answer = {
        "rgb": (x[0].permute(1, 2, 0) * 255).round().int().ravel().tolist(), "w": 96, "h": 64,
        "pixels": pix[0].permute(1, 2, 0)[::7, ::7].ravel().tolist(), "step": 7,
        "joints": jnt[0].permute(1, 2, 0).ravel().tolist(),
    }
    (out / "answer.json").write_text(json.dumps(answer))
    network.SHIFTED = was


def main():
    a = argparse.ArgumentParser()
    a.add_argument("pictures")
    a.add_argument("out")
    a.add_argument("--until", type=float, help="when to end, seconds since 1970", required=True)
    a.add_argument("--after", help="a file to wait for, made when all pictures are there")
    a.add_argument("--start", help="weights (net.pt) to start from")
    a.add_argument("--batch", type=int, default=32)
    a.add_argument("--seed", type=int, default=1)
    a.add_argument("--workers", type=int, default=14)
    o = a.parse_args()
    random.seed(o.seed)
    torch.manual_seed(o.seed)
    torch.backends.cudnn.benchmark = True
    signal.signal(signal.SIGALRM, late)
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    folder, out = pathlib.Path(o.pictures), pathlib.Path(o.out)
    net = PixelNet().to(device)
    f, last = fastest(net, device, o.batch) if device.type == "cuda" else (net, False)
    fresh = torch.load(o.start, map_location=device) if o.start else PixelNet().state_dict()
    net.load_state_dict(fresh)
    while o.after and not pathlib.Path(o.after).exists():
        time.sleep(1)
    begun = time.time()
    with ThreadPoolExecutor(16) as pool:
        items = list(pool.map(read, sorted(folder.glob("*.jpg"))))
    train = [p for i, p in enumerate(items) if i % HELD_OUT]
    held = list(torch.utils.data.DataLoader(Windows([p for i, p in enumerate(items) if i % HELD_OUT == 0], 7, True, 256), 32))
    print(f"{len(train)} pictures to learn from, {len(items) - len(train)} held out, read in {time.time() - begun:.0f} s", flush=True)
    feed = iter(torch.utils.data.DataLoader(Windows(train, o.seed), o.batch, num_workers=o.workers, pin_memory=True, prefetch_factor=4))
    mean = copy.deepcopy(net)
    opt = torch.optim.AdamW(net.parameters(), lr=1e-3, weight_decay=1e-4)
    begun, step, shown = time.time(), 0, 0
    while (now := (time.time() - begun) / (o.until - begun)) < 1:
        rate = 3e-3 * min(1, (step + 1) / 200) * (0.5 + 0.5 * math.cos(math.pi * now))
        for g in opt.param_groups:
            g["lr"] = max(rate, 1e-5)
        x, y, heat, off = to_device(next(feed), device)
        x = photograph(recolour(x, y))
        if last:
            x = x.to(memory_format=torch.channels_last)
        with torch.autocast(device.type, torch.bfloat16):
            loss, parts = losses(f, x, y, heat, off)
        opt.zero_grad()
        loss.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 1.0)
        opt.step()
        blend(mean, net, min(0.995, step / (step + 20)))
        step += 1
        if now * 8 > shown:
            shown += 1
            print(f"{now:.0%} step {step} loss {loss.item():.4f}", [round(p.item(), 4) for p in parts], check(mean, held, device), flush=True)
            save(mean, out)
    print(f"at the end, {step} steps,", check(mean, held, device), flush=True)
    save(mean, out)


@torch.no_grad()
def blend(mean, net, keep):
    """Moves the running mean of the weights a little towards the network."""
    a, b = list(mean.state_dict().values()), list(net.state_dict().values())
    real = [i for i, v in enumerate(a) if v.is_floating_point()]
    torch._foreach_mul_([a[i] for i in real], keep)
    torch._foreach_add_([a[i] for i in real], [b[i] for i in real], alpha=1 - keep)


if __name__ == "__main__":
    main()
