/*
 * The yardstick for speed: what a C programmer would write by hand for one fixed
 * layout, two spatial four-bars in a chain (servo horn, drag link, right knuckle,
 * tie rod, left knuckle), from the servo's angle to the road angles of both wheels.
 *
 * Each loop is A cos t + B sin t = C, solved by algebra without an angle; what
 * can be precomputed is. One sincos for the servo and one atan2 for each road
 * angle are all the transcendental functions that it needs.
 *
 * Reads from standard input, in mm and radians:
 *
 *   servo point, axis (unit), horn ball
 *   right kingpin point, axis (unit), drag ball, tie ball, spindle (outward)
 *   left kingpin point, axis (unit), tie ball, spindle (outward)
 *   drag link length, tie rod length
 *   greatest servo angle, number of different angles, number of rounds, repeats
 *
 * Runs through the angles, spread evenly from minus the greatest to plus, as many
 * times as there are rounds, and that for each repeat. Writes the nanoseconds a
 * pose of the quickest repeat and the sum of all its road angles; then, for each
 * of the angles, the servo's, the left and the right road angle.
 */
#define _GNU_SOURCE
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

typedef struct {
    double x, y, z;
} vec;

static vec add(vec a, vec b) { return (vec){a.x + b.x, a.y + b.y, a.z + b.z}; }
static vec sub(vec a, vec b) { return (vec){a.x - b.x, a.y - b.y, a.z - b.z}; }
static vec scale(double s, vec a) { return (vec){s * a.x, s * a.y, s * a.z}; }
static double dot(vec a, vec b) { return a.x * b.x + a.y * b.y + a.z * b.z; }
static vec cross(vec a, vec b) { return (vec){a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x}; }

/* A point or direction of a turning body: p0 + p1 cos t + p2 sin t. */
typedef struct {
    vec p0, p1, p2;
} circle;

static circle turning_arrow(vec axis, vec a) {
    vec along = scale(dot(axis, a), axis);
    vec out = sub(a, along);
    return (circle){along, out, cross(axis, out)};
}

static circle turning_point(vec on_axis, vec axis, vec p) {
    circle c = turning_arrow(axis, sub(p, on_axis));
    c.p0 = add(c.p0, on_axis);
    return c;
}

static inline vec at(const circle *p, double c, double s) {
    return (vec){p->p0.x + p->p1.x * c + p->p2.x * s, p->p0.y + p->p1.y * c + p->p2.y * s,
                 p->p0.z + p->p1.z * c + p->p2.z * s};
}

/* A rod from a known point to a ball on a circle. */
typedef struct {
    circle ball;
    double half;   /* (length^2 - radius^2) / 2 */
    double branch; /* +1 or -1 */
} rod;

static rod new_rod(circle ball, double length, vec first_from) {
    vec d = sub(ball.p0, first_from);
    return (rod){ball, (length * length - dot(ball.p1, ball.p1)) / 2, dot(d, ball.p2) < 0 ? -1.0 : 1.0};
}

/* Finds the cosine and sine of the turn that puts the ball a rod's length from
 * the point. Returns 0 if there is none. */
static inline int close_rod(const rod *r, vec from, double *c, double *s) {
    vec d = sub(r->ball.p0, from);
    double A = dot(d, r->ball.p1), B = dot(d, r->ball.p2), C = r->half - dot(d, d) / 2;
    double R2 = A * A + B * B, square = R2 - C * C;
    if (!(square >= 0)) {
        return 0;
    }
    double w = r->branch * sqrt(square), inverse = 1 / R2;
    *c = (A * C + B * w) * inverse;
    *s = (B * C - A * w) * inverse;
    return 1;
}

typedef struct {
    circle horn, right_tie, left_spindle, right_spindle;
    rod drag, tie;
} rig;

static inline int road_angles(const rig *g, double servo, double *left, double *right) {
    double c, s;
    sincos(servo, &s, &c);
    vec horn = at(&g->horn, c, s);
    if (!close_rod(&g->drag, horn, &c, &s)) {
        return 0;
    }
    const circle *a = &g->right_spindle;
    *right = atan2(a->p0.x + a->p1.x * c + a->p2.x * s, -(a->p0.y + a->p1.y * c + a->p2.y * s));
    vec tie = at(&g->right_tie, c, s);
    if (!close_rod(&g->tie, tie, &c, &s)) {
        return 0;
    }
    a = &g->left_spindle;
    *left = atan2(-(a->p0.x + a->p1.x * c + a->p2.x * s), a->p0.y + a->p1.y * c + a->p2.y * s);
    return 1;
}

static double number(void) {
    double x;
    if (scanf("%lf", &x) != 1) {
        fprintf(stderr, "a number is missing\n");
        exit(2);
    }
    return x;
}

static vec place(void) {
    double x = number(), y = number(), z = number();
    return (vec){x, y, z};
}

int main(void) {
    rig g;
    vec point = place(), axis = place(), horn = place();
    g.horn = turning_point(point, axis, horn);
    point = place(), axis = place();
    circle drag = turning_point(point, axis, place());
    vec right_tie = place();
    g.right_tie = turning_point(point, axis, right_tie);
    g.right_spindle = turning_arrow(axis, place());
    point = place(), axis = place();
    circle left_tie = turning_point(point, axis, place());
    g.left_spindle = turning_arrow(axis, place());
    double drag_length = number(), tie_length = number();
    g.drag = new_rod(drag, drag_length, horn);
    g.tie = new_rod(left_tie, tie_length, right_tie);

    double greatest = number();
    int angles = (int)number(), rounds = (int)number(), repeats = (int)number();
    double *servo = malloc(sizeof *servo * (size_t)angles);
    if (servo == NULL || angles < 2) {
        return 2;
    }
    for (int i = 0; i < angles; i++) {
        servo[i] = greatest * (2.0 * i / (angles - 1) - 1);
    }

    double best = INFINITY, sum = 0;
    for (int repeat = 0; repeat < repeats; repeat++) {
        struct timespec begin, end;
        sum = 0;
        clock_gettime(CLOCK_MONOTONIC, &begin);
        for (int round = 0; round < rounds; round++) {
            for (int i = 0; i < angles; i++) {
                double left, right;
                if (!road_angles(&g, servo[i], &left, &right)) {
                    fprintf(stderr, "the rods do not close at %g\n", servo[i]);
                    return 1;
                }
                sum += left + right;
            }
        }
        clock_gettime(CLOCK_MONOTONIC, &end);
        double ns = (double)(end.tv_sec - begin.tv_sec) * 1e9 + (double)(end.tv_nsec - begin.tv_nsec);
        double each = ns / ((double)rounds * angles);
        best = each < best ? each : best;
    }
    printf("%.2f %.17g\n", best, sum);
    for (int i = 0; i < angles; i++) {
        double left, right;
        if (!road_angles(&g, servo[i], &left, &right)) {
            return 1;
        }
        printf("%.17g %.17g %.17g\n", servo[i], left, right);
    }
    free(servo);
    return 0;
}
