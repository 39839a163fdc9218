/* Reads a matrix as crosscheck/sparse_lu.py's Go test writes it, and times
 * SuiteSparse KLU's refactor and solve on it: least mean of many batches.
 *
 * In:  n, nnz, then n+1 column starts, nnz rows, nnz numbers, n right sides.
 * Out: one line: microseconds for a refactor and a solve, entries of both
 *      factors, then the n figures of the solution.
 */
#include <klu.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static double now(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return t.tv_sec + 1e-9 * t.tv_nsec;
}

static void *room(size_t count, size_t size) {
    void *p = calloc(count, size);
    if (p == NULL) {
        fputs("no memory\n", stderr);
        exit(1);
    }
    return p;
}

int main(int argc, char **argv) {
    FILE *f = argc > 1 ? fopen(argv[1], "r") : NULL;
    int n, nnz;
    if (f == NULL || fscanf(f, "%d %d", &n, &nnz) != 2) {
        fputs("no matrix\n", stderr);
        return 1;
    }
    int *ap = room(n + 1, sizeof *ap), *ai = room(nnz, sizeof *ai);
    double *ax = room(nnz, sizeof *ax), *b = room(n, sizeof *b), *x = room(n, sizeof *x);
    int read = 1;
    for (int k = 0; k <= n; k++) read &= fscanf(f, "%d", ap + k) == 1;
    for (int k = 0; k < nnz; k++) read &= fscanf(f, "%d", ai + k) == 1;
    for (int k = 0; k < nnz; k++) read &= fscanf(f, "%lf", ax + k) == 1;
    for (int k = 0; k < n; k++) read &= fscanf(f, "%lf", b + k) == 1;
    fclose(f);
    klu_common common;
    klu_defaults(&common);
    klu_symbolic *symbolic = read ? klu_analyze(n, ap, ai, &common) : NULL;
    klu_numeric *numeric = symbolic ? klu_factor(ap, ai, ax, symbolic, &common) : NULL;
    if (numeric == NULL) {
        fputs("KLU refuses it\n", stderr);
        return 1;
    }
    double least = 1e9;
    for (int batch = 0; batch < 200; batch++) {
        const int turns = 20;
        double start = now();
        for (int k = 0; k < turns; k++) {
            memcpy(x, b, n * sizeof *x);
            if (!klu_refactor(ap, ai, ax, symbolic, numeric, &common) ||
                !klu_solve(symbolic, numeric, n, 1, x, &common)) {
                fputs("KLU fails\n", stderr);
                return 1;
            }
        }
        double each = (now() - start) / turns;
        if (each < least) least = each;
    }
    printf("%.4f %d", 1e6 * least, (int)(numeric->lnz + numeric->unz));
    for (int k = 0; k < n; k++) printf(" %.17g", x[k]);
    printf("\n");
    return 0;
}
