/*
 * Solves linkages as points in space that keep their distances, with libslvs, a
 * general-purpose geometric constraint solver, and writes where the points are.
 *
 * It knows nothing of turning bodies, of angles between parts, or of vehicles:
 * a turning body is its points, each at its distance from two fixed points on
 * the axis and from one another. So it shares neither code nor method with the
 * kernel that it checks.
 *
 * Reads lines from standard input; numbers are mm and radians:
 *
 *   rig                          forgets everything and starts a new rig
 *   fixed  NAME x y z            a point that never moves
 *   driven NAME x y z  px py pz  ax ay az
 *                                a point turned by each pose's angle about the
 *                                unit axis a through p; x y z is where it is at
 *                                angle zero
 *   free   NAME x y z            a point to be found, and where it is at first
 *   dist   NAME NAME d           two points keep their distance
 *   line   NAME NAME NAME        the first point is on the line of the others
 *   rise   NAME FROM TO k        the point goes along the direction from FROM to TO
 *                                by each pose's rise k, 0 or 1; sideways it is free
 *   start                        puts every free point back to where it was first
 *   pose   angle [rise rise]     solves, beginning at the pose before
 *   bench  n angle               times n poses that swing between -angle and
 *                                +angle, each begun at the one before
 *
 * Writes, for each pose, "ok" and the coordinates of the driven and the free
 * points in the order in which they were named, or "fail" and libslvs's result,
 * as for every pose from there to the next start;
 * for each bench, "bench", nanoseconds a pose, and the number of poses solved.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <slvs.h>

enum { MAX_POINTS = 64, MAX_CONSTRAINTS = 256, NAME_LENGTH = 32 };
enum { GROUP_KNOWN = 1, GROUP_UNKNOWN = 2 };
enum kind { FIXED, DRIVEN, FREE };

struct point {
    char name[NAME_LENGTH];
    enum kind kind;
    double first[3];
    double on_axis[3], axis[3];
};

static struct point points[MAX_POINTS];
static int point_count;

static Slvs_Param params[3 * MAX_POINTS];
/* One entity for each point, then one line segment for each "line". */
static Slvs_Entity entities[MAX_POINTS + MAX_CONSTRAINTS];
static Slvs_Constraint constraints[MAX_CONSTRAINTS];
static Slvs_hConstraint failed[MAX_CONSTRAINTS];
/* For each constraint, the rise that is added to its first value, or -1. */
static int rise_of[MAX_CONSTRAINTS];
static double first_value[MAX_CONSTRAINTS];
static double rises[2];
static Slvs_System sys;
/* Whether a pose failed, after which there is no neighbour to begin at. */
static int lost;

static void die(const char *what, const char *line) {
    fprintf(stderr, "%s: %s\n", what, line);
    exit(2);
}

static void new_rig(void) {
    memset(&sys, 0, sizeof sys);
    sys.param = params;
    sys.entity = entities;
    sys.constraint = constraints;
    sys.failed = failed;
    point_count = 0;
    lost = 0;
}

static void add_point(enum kind kind, const char *name, const double x[3], const char *line) {
    if (point_count == MAX_POINTS) {
        die("too many points", line);
    }
    struct point *p = &points[point_count++];
    memset(p, 0, sizeof *p);
    snprintf(p->name, sizeof p->name, "%s", name);
    p->kind = kind;
    int group = kind == FREE ? GROUP_UNKNOWN : GROUP_KNOWN;
    Slvs_hParam first = (Slvs_hParam)sys.params + 1;
    for (int i = 0; i < 3; i++) {
        p->first[i] = x[i];
        params[sys.params] = Slvs_MakeParam((Slvs_hParam)sys.params + 1, group, x[i]);
        sys.params++;
    }
    entities[sys.entities] =
        Slvs_MakePoint3d((Slvs_hEntity)sys.entities + 1, group, first, first + 1, first + 2);
    sys.entities++;
}

/* The n-th point has the three parameters from 3n on. */
static void set_place(int point, const double x[3]) {
    for (int i = 0; i < 3; i++) {
        params[3 * point + i].val = x[i];
    }
}

/* Points come before lines, so the n-th point is the n-th entity. */
static Slvs_hEntity find(const char *name, const char *line) {
    for (int i = 0; i < point_count; i++) {
        if (strcmp(points[i].name, name) == 0) {
            return (Slvs_hEntity)i + 1;
        }
    }
    die("unknown point", line);
    return 0;
}

static void add_constraint(int type, double value, Slvs_hEntity a, Slvs_hEntity b, Slvs_hEntity line_entity,
                           const char *line) {
    if (sys.constraints == MAX_CONSTRAINTS) {
        die("too many constraints", line);
    }
    rise_of[sys.constraints] = -1;
    constraints[sys.constraints] =
        Slvs_MakeConstraint((Slvs_hConstraint)sys.constraints + 1, GROUP_UNKNOWN, type, SLVS_FREE_IN_3D, value, a, b,
                            line_entity, 0);
    sys.constraints++;
}

static Slvs_hEntity add_segment(const char *from, const char *to, const char *line) {
    Slvs_hEntity segment = (Slvs_hEntity)sys.entities + 1;
    if (sys.entities == MAX_POINTS + MAX_CONSTRAINTS) {
        die("too many lines", line);
    }
    entities[sys.entities++] =
        Slvs_MakeLineSegment(segment, GROUP_UNKNOWN, SLVS_FREE_IN_3D, find(from, line), find(to, line));
    return segment;
}

/* libslvs counts the way from one point to another along a segment from the segment's end to its begin. */
static void add_rise(const char *name, const char *from, const char *to, int k, const char *line) {
    Slvs_hEntity point = find(name, line), a = find(from, line), b = find(to, line);
    double along = 0, length = 0;
    for (int i = 0; i < 3; i++) {
        double base = params[3 * (a - 1) + i].val, d = params[3 * (b - 1) + i].val - base;
        along += d * (params[3 * (point - 1) + i].val - base);
        length += d * d;
    }
    int at = sys.constraints;
    Slvs_hEntity segment = add_segment(to, from, line);
    add_constraint(SLVS_C_PROJ_PT_DISTANCE, along / sqrt(length), a, point, segment, line);
    rise_of[at] = k;
    first_value[at] = along / sqrt(length);
}

/* Turns x about the axis by the angle, with a unit quaternion. */
static void turn(double out[3], const struct point *p, double angle) {
    double w = cos(angle / 2), s = sin(angle / 2);
    double q[3] = {s * p->axis[0], s * p->axis[1], s * p->axis[2]};
    double v[3] = {p->first[0] - p->on_axis[0], p->first[1] - p->on_axis[1], p->first[2] - p->on_axis[2]};
    double t[3] = {2 * (q[1] * v[2] - q[2] * v[1]), 2 * (q[2] * v[0] - q[0] * v[2]), 2 * (q[0] * v[1] - q[1] * v[0])};
    out[0] = p->on_axis[0] + v[0] + w * t[0] + q[1] * t[2] - q[2] * t[1];
    out[1] = p->on_axis[1] + v[1] + w * t[1] + q[2] * t[0] - q[0] * t[2];
    out[2] = p->on_axis[2] + v[2] + w * t[2] + q[0] * t[1] - q[1] * t[0];
}

static int solve(double angle) {
    for (int i = 0; i < point_count; i++) {
        if (points[i].kind == DRIVEN) {
            double x[3];
            turn(x, &points[i], angle);
            set_place(i, x);
        }
    }
    for (int i = 0; i < sys.constraints; i++) {
        if (rise_of[i] >= 0) {
            constraints[i].valA = first_value[i] + rises[rise_of[i]];
        }
    }
    sys.faileds = MAX_CONSTRAINTS;
    Slvs_Solve(&sys, GROUP_UNKNOWN);
    return sys.result;
}

static void pose(double angle) {
    if (lost) {
        printf("fail %d\n", SLVS_RESULT_DIDNT_CONVERGE);
        return;
    }
    /* libslvs stops at a residual near 1e-8 mm, but makes at least one step, so
     * solving again from what it found brings the residual down to rounding. */
    int result = solve(angle);
    for (int again = 0; again < 2 && result == SLVS_RESULT_OKAY; again++) {
        result = solve(angle);
    }
    if (result != SLVS_RESULT_OKAY) {
        lost = 1;
        printf("fail %d\n", result);
        return;
    }
    printf("ok");
    for (int i = 0; i < point_count; i++) {
        if (points[i].kind != FIXED) {
            printf(" %.17g %.17g %.17g", params[3 * i].val, params[3 * i + 1].val, params[3 * i + 2].val);
        }
    }
    printf("\n");
}

static void bench(int n, double angle) {
    struct timespec begin, end;
    int solved = 0;
    clock_gettime(CLOCK_MONOTONIC, &begin);
    for (int i = 0; i < n; i++) {
        /* A triangle wave of 200 steps, so that every step is small. */
        int phase = i % 200;
        double share = (phase < 100 ? phase - 50 : 150 - phase) / 50.0;
        solved += solve(share * angle) == SLVS_RESULT_OKAY;
    }
    clock_gettime(CLOCK_MONOTONIC, &end);
    double ns = (double)(end.tv_sec - begin.tv_sec) * 1e9 + (double)(end.tv_nsec - begin.tv_nsec);
    printf("bench %.1f %d\n", ns / n, solved);
}

int main(void) {
    char line[1024];
    new_rig();
    while (fgets(line, sizeof line, stdin) != NULL) {
        char a[NAME_LENGTH], b[NAME_LENGTH], c[NAME_LENGTH];
        double x[3], p[3], k[3], value;
        int n;
        if (strcmp(line, "rig\n") == 0) {
            new_rig();
        } else if (sscanf(line, "fixed %31s %lf %lf %lf", a, &x[0], &x[1], &x[2]) == 4) {
            add_point(FIXED, a, x, line);
        } else if (sscanf(line, "driven %31s %lf %lf %lf %lf %lf %lf %lf %lf %lf", a, &x[0], &x[1], &x[2], &p[0], &p[1],
                          &p[2], &k[0], &k[1], &k[2]) == 10) {
            add_point(DRIVEN, a, x, line);
            memcpy(points[point_count - 1].on_axis, p, sizeof p);
            memcpy(points[point_count - 1].axis, k, sizeof k);
        } else if (sscanf(line, "free %31s %lf %lf %lf", a, &x[0], &x[1], &x[2]) == 4) {
            add_point(FREE, a, x, line);
        } else if (sscanf(line, "dist %31s %31s %lf", a, b, &value) == 3) {
            add_constraint(SLVS_C_PT_PT_DISTANCE, value, find(a, line), find(b, line), 0, line);
        } else if (sscanf(line, "line %31s %31s %31s", a, b, c) == 3) {
            Slvs_hEntity segment = add_segment(b, c, line);
            add_constraint(SLVS_C_PT_ON_LINE, 0, find(a, line), 0, segment, line);
        } else if (sscanf(line, "rise %31s %31s %31s %d", a, b, c, &n) == 4 && (n == 0 || n == 1)) {
            add_rise(a, b, c, n, line);
        } else if (strcmp(line, "start\n") == 0) {
            lost = 0;
            for (int i = 0; i < point_count; i++) {
                set_place(i, points[i].first);
            }
        } else if ((n = sscanf(line, "pose %lf %lf %lf", &value, &rises[0], &rises[1])) == 1 || n == 3) {
            pose(value);
        } else if (sscanf(line, "bench %d %lf", &n, &value) == 2) {
            bench(n, value);
        } else {
            die("not understood", line);
        }
    }
    return 0;
}
