"""Trains the pixel network on rendered photographs, while more are rendered.

    trainingset -from 20000 -to 99999 -side mixed -out DIR &   # Go: internal/specimen/cmd/trainingset
    python3 train.py DIR OUT --begun $(date +%s) --until $(($(date +%s) + 1500))

Two processes with RANK, WORLD_SIZE, MASTER_ADDR and MASTER_PORT set train
together. A run can pause and go on later: --pause, and --state of the run
before. Needs
PyTorch and an accelerator; nothing else in Foilside does. Real photographs are
never trained on.
"""

import argparse
import copy
import json
import math
import pathlib
import os
import random
import time

import cv2
import numpy as np
import torch
from torch import distributed as dist
from torch.nn import functional as F

from net import CLASSES, PixelNet, export

SIDE = 384  # of a training window
OUTSIDE = 255  # label beyond the picture
HELD_OUT = 16  # every so many-th seed is kept for checking
KEPT = 160  # pictures that a worker holds at a time
RENEW = 1 / 24  # how often it takes a new one for an old one


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
    return tuple(torch.from_numpy(v) for v in (x, y, *joint_target(q)))


def joint_target(q):
    """At 1/4: 1 in a joint's cell, and its place in the cell, in cells."""
    n = SIDE // 4
    heat, off = np.zeros((n, n), np.float32), np.zeros((2, n, n), np.float32)
    for at in (q + 0.5) / 4 - 0.5:
        cx, cy = np.clip(np.round(at).astype(int), 0, n - 1)
        heat[cy, cx] = 1
        off[:, cy, cx] = at - (cx, cy)
    return heat, off


def there(folder, held):
    """The pictures rendered so far, those held out or the others."""
    return sorted(p.with_suffix(".jpg") for p in folder.glob("*.png") if (int(p.stem) % HELD_OUT == 3) == held)


class Windows(torch.utils.data.IterableDataset):
    """Endless random windows of a folder that fills; each worker draws its own."""

    def __init__(self, folder, seed):
        self.folder, self.seed = folder, seed

    def __iter__(self):
        info = torch.utils.data.get_worker_info()
        cv2.setNumThreads(0)
        rng = random.Random(self.seed * 1000 + (info.id if info else 0))
        kept, names, listed = [], [], 0.0
        while True:
            if time.time() > listed + 10:
                names, listed = there(self.folder, False), time.time()
            if len(kept) < 8 or len(kept) < KEPT and rng.random() < 0.1:
                kept.append(read(rng.choice(names)))
            elif rng.random() < RENEW:
                kept[rng.randrange(len(kept))] = read(rng.choice(names))
            yield window(rng.choice(kept), rng, False)


def held_out(folder, count):
    """The same windows, neither turned nor resized, of pictures kept back."""
    rng = random.Random(7)
    items = [read(p) for p in there(folder, True)[:40]]
    return torch.utils.data.default_collate([window(rng.choice(items), rng, True) for _ in range(count)])


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
    w = w * (1 + (cls == CLASSES - 1))  # few pixels are wires
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


def save(net, out):
    """Weights for the Go side, and a small picture with its answer for its test."""
    net = copy.deepcopy(net).cpu().eval().float().to(memory_format=torch.contiguous_format)
    print(export(net, out / "pixels.f16"), "weights", flush=True)
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


@torch.no_grad()
def blend(mean, net, keep):
    """Moves the running mean of the weights a little towards the network."""
    a, b = list(mean.state_dict().values()), list(net.state_dict().values())
    real = [i for i, v in enumerate(a) if v.is_floating_point()]
    torch._foreach_mul_([a[i] for i in real], keep)
    torch._foreach_add_([a[i] for i in real], [b[i] for i in real], alpha=1 - keep)


class Peers:
    """The processes that train together, one to an accelerator."""

    def __init__(self):
        self.rank, self.count = int(os.environ.get("RANK", 0)), int(os.environ.get("WORLD_SIZE", 1))
        self.device = torch.device("cuda", self.rank) if torch.cuda.is_available() else torch.device("cpu")
        if self.device.type == "cuda":
            torch.cuda.set_device(self.device)
        if self.count > 1:
            dist.init_process_group("nccl" if self.device.type == "cuda" else "gloo")

    def mean(self, v):
        """The mean over all of them."""
        if self.count > 1:
            dist.all_reduce(v)
            v /= self.count
        return v

    def average(self, net):
        """Gives every one the mean of their gradients."""
        if self.count == 1:
            return
        flat = self.mean(torch.cat([p.grad.reshape(-1) for p in net.parameters()]))
        for p, g in zip(net.parameters(), flat.split([p.numel() for p in net.parameters()])):
            p.grad.copy_(g.view(p.shape))


class Run:
    """A training run: the network, the mean of its last states, its optimiser."""

    def __init__(self, peers, o):
        self.peers, self.o = peers, o
        self.net = PixelNet().to(peers.device, memory_format=torch.channels_last)
        self.mean = copy.deepcopy(self.net)
        self.opt = torch.optim.AdamW(self.net.parameters(), lr=1e-3, weight_decay=1e-4)
        self.step = 0
        if o.state:
            s = torch.load(o.state, map_location=peers.device)
            self.net.load_state_dict(s["net"])
            self.mean.load_state_dict(s["mean"])
            self.opt.load_state_dict(s["opt"])
            self.step = s["step"]

    def keep(self):
        out = pathlib.Path(self.o.out)
        save(self.mean, out)
        torch.save({"net": self.net.state_dict(), "mean": self.mean.state_dict(), "opt": self.opt.state_dict(), "step": self.step}, out / "state.part")
        os.replace(out / "state.part", out / "state.pt")

    def learn(self, batch, done):
        """One step; done is the share of the whole run that is over."""
        rate = 3e-3 * min(1, (self.step + 1) / 300) * (0.5 + 0.5 * math.cos(math.pi * min(1, done)))
        for g in self.opt.param_groups:
            g["lr"] = max(rate, 1e-5)
        x, y, heat, off = to_device(batch, self.peers.device)
        x = photograph(recolour(x, y)).contiguous(memory_format=torch.channels_last)
        with torch.autocast(self.peers.device.type, torch.bfloat16):
            loss, parts = losses(self.net, x, y, heat, off)
        self.opt.zero_grad()
        loss.backward()
        self.peers.average(self.net)
        torch.nn.utils.clip_grad_norm_(self.net.parameters(), 1.0)
        self.opt.step()
        blend(self.mean, self.net, min(0.999, self.step / (self.step + 20)))
        self.step += 1
        return loss, parts


def main():
    a = argparse.ArgumentParser()
    a.add_argument("pictures", type=pathlib.Path)
    a.add_argument("out")
    a.add_argument("--begun", type=float, help="when the whole run began, seconds since 1970", required=True)
    a.add_argument("--until", type=float, help="when the whole run ends", required=True)
    a.add_argument("--pause", type=float, help="when to stop for now", default=math.inf)
    a.add_argument("--state", help="state.pt of the run to go on with")
    a.add_argument("--batch", type=int, default=32, help="windows in a process's step")
    a.add_argument("--seed", type=int, default=1)
    a.add_argument("--workers", type=int, default=10, help="of a process")
    a.add_argument("--first", type=int, default=200, help="pictures to wait for")
    a.add_argument("--held", type=int, default=256, help="windows to check with")
    o = a.parse_args()
    peers = Peers()
    torch.manual_seed(o.seed)
    torch.backends.cudnn.benchmark = True
    run = Run(peers, o)
    random.seed(o.seed * 7919 + peers.rank * 104729 + run.step)
    torch.manual_seed(o.seed * 7919 + peers.rank * 104729 + run.step)
    while len(there(o.pictures, False)) < o.first:
        time.sleep(1)
    print(f"process {peers.rank}: {len(there(o.pictures, False))} pictures to begin with", flush=True)
    windows = Windows(o.pictures, (o.seed + 1) * 100 + peers.rank * 10 + run.step % 7)
    feed = iter(torch.utils.data.DataLoader(windows, o.batch, num_workers=o.workers, pin_memory=True, prefetch_factor=4))
    held = list(zip(*(v.split(32) for v in held_out(o.pictures, o.held))))
    shown = begun = time.time()
    first = run.step
    while True:
        if run.step % 10 == 0:  # all stop at the same step
            now = peers.mean(torch.tensor([time.time()], dtype=torch.float64, device=peers.device)).item()
            if now > min(o.until, o.pause):
                break
            done = (now - o.begun) / (o.until - o.begun)
        loss, parts = run.learn(next(feed), done)
        if peers.rank == 0 and time.time() > shown + 60:
            shown = time.time()
            print(f"{done:.0%} step {run.step} {(run.step - first) / (shown - begun):.1f} a second, {len(there(o.pictures, False))} pictures, loss {loss.item():.4f}", [round(p.item(), 4) for p in parts], check(run.mean, held, peers.device), flush=True)
            run.keep()
    if peers.rank == 0:
        print(f"{run.step} steps,", check(run.mean, held, peers.device), flush=True)
        run.keep()


if __name__ == "__main__":
    main()
