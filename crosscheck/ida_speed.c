/* Solves one circuit of crosscheck/transients.py with SUNDIALS IDA at several
 * tolerances: its equations written out by hand, dense matrix.
 *
 * In (arguments): span, family, shape, volts, hertz, figures as in the script.
 * Out: a line for each tolerance: tolerance, seconds, then the output at 40
 *      times. Seconds are the least mean of batches, with making and freeing
 *      of the solver.
 */
#include <ida/ida.h>
#include <math.h>
#include <nvector/nvector_serial.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>
#include <time.h>

#define LEAD 1e-3
#define POINTS 40
static const double VT = 1.380649e-23 * 298.15 / 1.602176634e-19;

typedef struct {
    const char *family;
    int sines, n;
    double volts, hertz, p[6];
    double inverse[2][2];
} circuit;

static double source(const circuit *c, double t) {
    return c->sines ? c->volts * sqrt(2) * sin(2 * M_PI * c->hertz * t) : c->volts;
}

/* The current of a rectifier diode (0.92 V at 1 A, n 1.7, 40 mΩ) behind ohms:
 * Newton's method on the logarithm of the current, or on its small drop. */
static double rectified(double u, double feed) {
    double nv = 1.7 * VT, sat = 1.0 / expm1((0.92 - 0.04) / nv), rs = 0.04 + feed;
    if (u < 0.2) return sat * expm1(u / nv);
    double i = u > 0.9 ? (u - 0.8) / rs : sat * exp(u / nv);
    if (i > u / rs) i = u / rs;
    double z = log(i / sat);
    for (int k = 0; k < 50; k++) {
        double e = sat * exp(z), d = (nv * z + rs * e - u) / (nv + rs * e);
        z -= d;
        if (fabs(d) < 1e-13 * (1 + fabs(z))) break;
    }
    return sat * exp(z);
}

static void right(const circuit *c, double t, const double *y, double *f) {
    const double *p = c->p;
    double v = source(c, t);
    if (strcmp(c->family, "rc") == 0) {
        f[0] = (v - y[0]) / (p[0] + LEAD) / p[1];
    } else if (strcmp(c->family, "rl") == 0) {
        f[0] = (v - y[0] * (p[0] + p[2])) / p[1];
    } else if (strcmp(c->family, "rlc") == 0) {
        f[0] = (v - y[0] * (p[0] + 1e-3 + LEAD) - y[1]) / p[1];
        f[1] = y[0] / p[2];
    } else if (strcmp(c->family, "ladder") == 0) {
        double rc = p[1] * p[2];
        for (int k = 0; k < c->n; k++) {
            double before = k > 0 ? y[k - 1] : v, after = k < c->n - 1 ? y[k + 1] : y[k];
            f[k] = (before - 2 * y[k] + after) / rc;
        }
    } else if (strcmp(c->family, "rectifier") == 0) {
        f[0] = (rectified(v - y[0], p[0]) - y[0] / p[2]) / p[1];
    } else {
        double a = y[0] + 20e-9 * v, i1 = c->inverse[0][0] * a + c->inverse[0][1] * y[1];
        double i2 = c->inverse[1][0] * a + c->inverse[1][1] * y[1];
        f[0] = v - p[3] * i1;
        f[1] = -(p[4] + p[5]) * i2;
    }
}

static double output(const circuit *c, double t, const double *y) {
    const double *p = c->p;
    if (strcmp(c->family, "rc") == 0) return (y[0] * p[0] + source(c, t) * LEAD) / (p[0] + LEAD);
    if (strcmp(c->family, "rl") == 0) return y[0] * p[0];
    if (strcmp(c->family, "rlc") == 0) return y[1] + LEAD * y[0];
    if (strcmp(c->family, "coupled") == 0) {
        double a = y[0] + 20e-9 * source(c, t);
        return -p[5] * (c->inverse[1][0] * a + c->inverse[1][1] * y[1]);
    }
    return y[c->n - 1];
}

static int residual(realtype t, N_Vector y, N_Vector slope, N_Vector r, void *user) {
    const circuit *c = user;
    double *out = NV_DATA_S(r), *d = NV_DATA_S(slope);
    right(c, t, NV_DATA_S(y), out);
    for (int k = 0; k < c->n; k++) out[k] = d[k] - out[k];
    return 0;
}

static int solve(circuit *c, double span, double tolerance, double *out) {
    SUNContext ctx;
    SUNContext_Create(NULL, &ctx);
    N_Vector y = N_VNew_Serial(c->n, ctx), slope = N_VNew_Serial(c->n, ctx);
    N_VConst(0, y);
    right(c, 0, NV_DATA_S(y), NV_DATA_S(slope));
    void *ida = IDACreate(ctx);
    IDAInit(ida, residual, 0, y, slope);
    IDASStolerances(ida, tolerance, tolerance * 1e-4);
    IDASetUserData(ida, c);
    IDASetMaxNumSteps(ida, 100000);
    SUNMatrix a = SUNDenseMatrix(c->n, c->n, ctx);
    SUNLinearSolver ls = SUNLinSol_Dense(y, a, ctx);
    IDASetLinearSolver(ida, ls, a);
    int bad = 0;
    for (int k = 0; k < POINTS && !bad; k++) {
        double t, at = span * (k + 1) / POINTS;
        bad = IDASolve(ida, at, &t, y, slope, IDA_NORMAL) < 0;
        out[k] = output(c, at, NV_DATA_S(y));
    }
    IDAFree(&ida);
    SUNLinSolFree(ls);
    SUNMatDestroy(a);
    N_VDestroy(y);
    N_VDestroy(slope);
    SUNContext_Free(&ctx);
    return bad;
}

static double now(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return t.tv_sec + 1e-9 * t.tv_nsec;
}

int main(int argc, char **argv) {
    if (argc < 6) return 1;
    circuit c = {.family = argv[2], .sines = strcmp(argv[3], "sine") == 0, .volts = atof(argv[4]), .hertz = atof(argv[5]), .n = 1};
    for (int k = 6; k < argc && k < 12; k++) c.p[k - 6] = atof(argv[k]);
    if (strcmp(c.family, "ladder") == 0) c.n = (int)c.p[0];
    if (strcmp(c.family, "rlc") == 0) c.n = 2;
    if (strcmp(c.family, "coupled") == 0) {
        c.n = 2;
        double l2 = c.p[0] * c.p[1] * c.p[1], m = c.p[2] * sqrt(c.p[0] * l2);
        double a = c.p[0] + 20e-9 * c.p[3], d = l2 + 20e-9 * (c.p[4] + c.p[5]), det = a * d - m * m;
        c.inverse[0][0] = d / det, c.inverse[1][1] = a / det, c.inverse[0][1] = c.inverse[1][0] = -m / det;
    }
    double span = atof(argv[1]);
    for (double tolerance = 1e-2; tolerance > 0.5e-8; tolerance /= sqrt(10)) {
        double out[POINTS], least = 1e9;
        for (int batch = 0; batch < 15; batch++) {
            double begin = now();
            for (int k = 0; k < 5; k++)
                if (solve(&c, span, tolerance, out)) return 2;
            double took = (now() - begin) / 5;
            if (took < least) least = took;
        }
        printf("%g %g", tolerance, least);
        for (int k = 0; k < POINTS; k++) printf(" %.15g", out[k]);
        printf("\n");
    }
    return 0;
}
