#include "daemon/core/belief.h"

#include <math.h>
#include <string.h>

#define ROOM_SD        0.20 /* with OWN_SD 0.35 together */
#define OWN_SD         0.29
#define SHIFT_FRAC     0.12
#define TAKE_SD        0.25
#define DRIFT_SD_DAY   0.01
#define WEATHER_SD_DAY 0.20 /* a bright day against a dull one */
#define WEATHER_LEANS  3.0  /* (1 + r) / (1 - r) with a correlation of one half from day to day */

struct gauss belief_room(void)
{
    return (struct gauss){0, ROOM_SD * ROOM_SD};
}

struct belief belief_of(const struct curve *prior)
{
    double shift_sd = SHIFT_FRAC * prior->half_day;

    return (struct belief){
        .b = {1,                    0                       },
        .v = {{OWN_SD * OWN_SD, 0}, {0, shift_sd * shift_sd}},
        .take = {0,                    TAKE_SD * TAKE_SD       }
    };
}

static double mean_of(const struct belief *p, const struct gauss *room, int k)
{
    return p->a[k] + p->b[k] * room->mean;
}

double belief_theta(const struct belief *p, const struct gauss *room)
{
    return exp(mean_of(p, room, BELIEF_LN_THETA));
}

double belief_shift_day(const struct belief *p, const struct gauss *room)
{
    return mean_of(p, room, BELIEF_SHIFT);
}

struct curve belief_curve(const struct belief *p, const struct gauss *room,
                          const struct curve *prior)
{
    return (struct curve){prior->most_l_day * belief_theta(p, room),
                          prior->half_day + belief_shift_day(p, room), prior->spread_day};
}

/* A later curve is as one that is read at an earlier age: dC/dshift = -(w(a1) - w(a0)). */
struct lean belief_lean(const struct curve *now, double a0_day, double a1_day)
{
    double use_l = curve_use_l(now, 1, a0_day, a1_day);
    double rise = curve_rate_l_day(now, 1, a1_day) - curve_rate_l_day(now, 1, a0_day);

    return (struct lean){
        {1, use_l > 0 ? -rise / use_l : 0}
    };
}

double belief_own_var(const struct belief *p, const struct lean *h)
{
    double sum = 0;

    for (int i = 0; i < BELIEF_N; i++) {
        for (int k = 0; k < BELIEF_N; k++) {
            sum += h->h[i] * p->v[i][k] * h->h[k];
        }
    }
    return sum;
}

double belief_room_lean(const struct belief *p, const struct lean *h)
{
    double sum = 0;

    for (int i = 0; i < BELIEF_N; i++) {
        sum += h->h[i] * p->b[i];
    }
    return sum;
}

double belief_var(const struct belief *p, const struct gauss *room, const struct lean *h)
{
    double c = belief_room_lean(p, h);

    return belief_own_var(p, h) + c * c * room->var;
}

void belief_share(struct belief *p, const struct lean *h, double litres, double left_l,
                  double room_lean, double whole_var)
{
    double gain[BELIEF_N];
    double hv[BELIEF_N];

    for (int i = 0; i < BELIEF_N; i++) {
        hv[i] = 0;
        for (int k = 0; k < BELIEF_N; k++) {
            hv[i] += litres * h->h[k] * p->v[k][i];
        }
        gain[i] = hv[i] / whole_var;
    }
    for (int i = 0; i < BELIEF_N; i++) {
        p->a[i] += gain[i] * left_l;
        p->b[i] -= gain[i] * room_lean;
        for (int k = 0; k < BELIEF_N; k++) {
            p->v[i][k] -= gain[i] * hv[k];
        }
    }
}

/* y - h a = off + h b rho: what is left when the plant's own mean is taken off. */
void belief_see(struct belief *p, struct gauss *room, const struct lean *h, double off,
                double noise_var)
{
    double c = belief_room_lean(p, h);
    double var = belief_own_var(p, h) + noise_var;
    double left = off + c * room->mean;

    belief_share(p, h, 1, left, c, var);
    *room = gauss_see(*room, c, left, var);
}

void belief_bound(struct belief *p, struct gauss *room, const struct lean *h, double off,
                  double soft_sd, bool above)
{
    struct gauss before = {0, belief_var(p, room, h)};
    struct gauss after = gauss_bound(before, off, soft_sd, above);
    struct gauss seen = gauss_as_observation(before, after);

    if (isfinite(seen.var)) {
        belief_see(p, room, h, seen.mean, seen.var);
    }
}

void belief_drift(struct belief *p, double days)
{
    if (days > 0) {
        p->v[BELIEF_LN_THETA][BELIEF_LN_THETA] += DRIFT_SD_DAY * DRIFT_SD_DAY * days;
    }
}

double belief_weather_var(double days)
{
    double one = WEATHER_SD_DAY * WEATHER_SD_DAY;

    return one * fmin(1, WEATHER_LEANS / (fmax(days, 0) + WEATHER_LEANS - 1));
}
