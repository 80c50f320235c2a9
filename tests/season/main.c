/* season --room FILE --weeks N --seed S --policy tarn|calendar|calendar-grouped|notebook
 * [--faults F] [--json]
 *
 * Lives a season in a simulated room whose truth nobody knows (tests/sim), by one of four
 * policies: a grower who follows the list of the real tarnd through its socket, one of two fixed
 * calendars, or a notebook with a meter, whose habits are --bump-below PERCENT, --bump-to PERCENT
 * and --change-after DAYS. The same seed gives the same plants, weather, meters and the same days
 * off for all of them. --source-ec MS_CM, --source-alkalinity MG_L and --feed MS_CM (a weak feed
 * in the reservoir) give the room another water, --work monday,thursday leaves no labour on other
 * days, for the truth and the daemon alike. What it came to is printed; band.h and food.h say when
 * a container counts as in band. */
#include "config/read/room_read.h"
#include "daemon/base/mem.h"
#include "daemon/base/num.h"
#include "daemon/core/units/day.h"
#include "tests/season/announce.h"
#include "tests/season/calendar.h"
#include "tests/season/grower.h"
#include "tests/season/report.h"
#include "tests/season/temper.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define MORNING_H       8
#define NOON_H          12
#define DUSK_H          20
#define WEEKS_MAX       104
#define SOURCE_EC_MOST  3.0 /* mS/cm: nobody grows with more */
#define ALKALINITY_MOST 1000.0

#define FEED_MOST     5.0 /* mS/cm */
#define CALENDAR_DAYS 10  /* from change to change, where nothing is said */
#define NOTEBOOK_PCT  70.0
#define BUMP_MOST_PCT 150.0
#define WEEKDAYS      7

enum policy { POLICY_TARN, POLICY_CALENDAR, POLICY_GROUPED, POLICY_NOTEBOOK, POLICY_N };
static const char *const policy_words[POLICY_N] = {"tarn", "calendar", "calendar-grouped",
                                                   "notebook"};
static const char *const weekdays[WEEKDAYS] = {"monday", "tuesday",  "wednesday", "thursday",
                                               "friday", "saturday", "sunday"};

struct options {
    const char *room, *faults, *tarnd, *crops, *trace;
    int64_t weeks, seed;
    int64_t change_days;
    double bump_below_pct, bump_to_pct;
    double source_ec, source_alkalinity, feed; /* NaN = as the room file has it */
    bool works[WEEKDAYS];
    bool works_told; /* else as the room file has it */
    enum policy policy;
    bool json, verbose;
};

struct season_run {
    const struct options *o;
    struct room room;
    char room_path[128]; /* of the daemon's copy */
    struct truth truth;
    struct ledger ledger;
    struct hands hands;
    struct faults faults;
    struct live_daemon link;
    struct grower grower;
    struct calendar calendar;
};

static int usage(void)
{
    (void)fputs("season --room FILE [--weeks N] [--seed S] [--policy "
                "tarn|calendar|calendar-grouped|notebook]\n"
                "       [--faults leak@30,clog:A3@40,…] [--json] [--verbose] [--tarnd FILE] "
                "[--crops DIR] [--trace CONTAINER|all]\n"
                "       [--source-ec MS_CM] [--source-alkalinity MG_L] [--feed MS_CM]\n"
                "       [--work monday,thursday,…] [--bump-below PERCENT] [--bump-to PERCENT]\n"
                "       [--change-after DAYS]\n",
                stderr);
    return 2;
}

static bool read_policy(const char *word, enum policy *out)
{
    for (int k = 0; k < POLICY_N; k++) {
        if (strcmp(policy_words[k], word) == 0) {
            *out = (enum policy)k;
            return true;
        }
    }
    return false;
}

static bool read_amount(const char *text, double most, double *out)
{
    return num_parse(text, out, NULL) == 0 && *out >= 0 && *out <= most;
}

/* "monday,thursday" */
static bool read_works(const char *text, struct options *o)
{
    const char *at = text;

    o->works_told = true;
    while (*at) {
        size_t len = strcspn(at, ",");
        bool known = false;

        for (int k = 0; k < WEEKDAYS; k++) {
            if (strlen(weekdays[k]) == len && strncmp(weekdays[k], at, len) == 0) {
                o->works[k] = known = true;
            }
        }
        if (!known) {
            return false;
        }
        at += at[len] ? len + 1 : len;
    }
    return true;
}

static bool read_value(const char *name, const char *value, struct options *o)
{
    const struct {
        const char *name;
        const char **out;
    } texts[] = {
        {"--room",   &o->room  },
        {"--faults", &o->faults},
        {"--tarnd",  &o->tarnd },
        {"--crops",  &o->crops },
        {"--trace",  &o->trace }
    };

    for (size_t k = 0; k < sizeof texts / sizeof *texts; k++) {
        if (strcmp(texts[k].name, name) == 0) {
            *texts[k].out = value;
            return true;
        }
    }
    if (strcmp(name, "--weeks") == 0) {
        return num_parse_int(value, 1, WEEKS_MAX, &o->weeks, NULL) == 0;
    }
    if (strcmp(name, "--seed") == 0) {
        return num_parse_int(value, 0, INT64_MAX, &o->seed, NULL) == 0;
    }
    if (strcmp(name, "--change-after") == 0) {
        return num_parse_int(value, 1, WEEKS_MAX, &o->change_days, NULL) == 0;
    }
    if (strcmp(name, "--bump-below") == 0) {
        return read_amount(value, 100, &o->bump_below_pct);
    }
    if (strcmp(name, "--bump-to") == 0) {
        return read_amount(value, BUMP_MOST_PCT, &o->bump_to_pct);
    }
    if (strcmp(name, "--feed") == 0) {
        return read_amount(value, FEED_MOST, &o->feed);
    }
    if (strcmp(name, "--work") == 0) {
        return read_works(value, o);
    }
    if (strcmp(name, "--source-ec") == 0) {
        return read_amount(value, SOURCE_EC_MOST, &o->source_ec);
    }
    if (strcmp(name, "--source-alkalinity") == 0) {
        return read_amount(value, ALKALINITY_MOST, &o->source_alkalinity);
    }
    return strcmp(name, "--policy") == 0 && read_policy(value, &o->policy);
}

static bool read_options(int argc, char **argv, struct options *o)
{
    for (int i = 1; i < argc; i++) {
        if (strcmp(argv[i], "--json") == 0) {
            o->json = true;
        } else if (strcmp(argv[i], "--verbose") == 0) {
            o->verbose = true;
        } else if (i + 1 == argc || !read_value(argv[i], argv[i + 1], o)) {
            return false;
        } else {
            i++;
        }
    }
    return o->room != NULL;
}

/* The day of the first start. */
static int32_t first_day_of(const struct room *room)
{
    int32_t first = DAY_NONE;

    for (size_t i = 0; i < room->n_containers; i++) {
        int32_t on = room->container[i].start_on;

        if (on != DAY_NONE && (first == DAY_NONE || on < first)) {
            first = on;
        }
    }
    return first;
}

static void step(struct season_run *s, int hours)
{
    for (int h = 0; h < hours; h++) {
        truth_hour(&s->truth);
        ledger_hour(&s->ledger, &s->truth);
    }
}

/* One line of what the truth of the reservoir came to. */
static void say_day(const struct season_run *s, enum presence who, double dry_before_h)
{
    static const char *const words[] = {
        [PRESENT] = "there", [LATE] = "late", [FORGOTTEN] = "forgotten", [AWAY] = "away"};
    char day[DAY_TEXT_MAX];

    if (s->o->verbose) {
        (void)fprintf(stderr, "%s %s; reservoir %.0f L of %s, dry for %.0f h\n",
                      day_format(day, s->ledger.first_day + (int32_t)s->hands.day), words[who],
                      s->truth.reservoir.volume_l, s->truth.holds_mix ? "a mix" : "water",
                      s->ledger.dry_h - dry_before_h);
    }
}

static int morning(struct season_run *s, int hour)
{
    if (s->o->policy == POLICY_TARN) {
        return grower_morning(&s->grower, hour);
    }
    calendar_morning(&s->calendar, temper_of((uint64_t)s->o->seed, s->ledger.first_day,
                                             s->hands.day + 1) == AWAY);
    return 0;
}

static int live_a_day(struct season_run *s, size_t day)
{
    enum presence who = temper_of((uint64_t)s->o->seed, s->ledger.first_day, day);
    int hour = who == LATE ? NOON_H : MORNING_H;
    double dry_before_h = s->ledger.dry_h;
    int rc = 0;

    hands_new_day(&s->hands, day);
    faults_new_day(&s->faults, &s->hands);
    s->ledger.days_away += who == AWAY;
    s->ledger.days_forgotten += who == FORGOTTEN;
    s->ledger.days_late += who == LATE;
    step(s, hour - 1);
    if (s->o->policy == POLICY_TARN && (who == PRESENT || who == LATE)) {
        grower_opens(&s->grower);
    }
    step(s, 1);
    if (who == PRESENT || who == LATE) {
        rc = morning(s, hour);
    }
    step(s, DUSK_H - hour);
    if (s->o->policy == POLICY_TARN) {
        grower_closes(&s->grower);
    }
    step(s, 24 - DUSK_H);
    if (s->o->policy == POLICY_TARN) {
        grower_evening(&s->grower);
    }
    say_day(s, who, dry_before_h);
    return rc;
}

/* The daemon's room file says when the long weekends are; forgotten days nobody foresees. */
static int announce(struct season_run *s, struct err *err)
{
    int32_t off[WEEKS_MAX * 7];
    size_t n = 0;

    for (size_t day = 0; day < s->ledger.n_days; day++) {
        if (temper_of((uint64_t)s->o->seed, s->ledger.first_day, day) == AWAY) {
            off[n++] = s->ledger.first_day + (int32_t)day;
        }
    }
    (void)snprintf(s->room_path, sizeof s->room_path, "%s/room.yaml", s->link.dir);
    s->link.room = s->room_path;
    return announce_room(
        s->o->room, s->room_path,
        &(struct announced){.off = off,
                            .n_off = n,
                            .works = s->o->works_told ? s->o->works : NULL,
                            .feed_ms_cm = s->o->feed,
                            .feed_recipe = isnan(s->o->feed) ? NULL : s->room.reservoir.feed_recipe,
                            .source_ec_ms_cm = s->o->source_ec,
                            .source_alkalinity_mg_l = s->o->source_alkalinity},
        err);
}

static int start_tarn(struct season_run *s, struct err *err)
{
    char day[DAY_TEXT_MAX];
    char at[32];
    int rc = live_daemon_init(&s->link, s->o->room, s->o->tarnd, s->o->crops, err);

    if (rc == 0) {
        rc = announce(s, err);
    }
    s->link.small_disk = faults_have(&s->faults, FAULT_FULL_DISK);
    (void)snprintf(at, sizeof at, "%sT07:00", day_format(day, s->ledger.first_day));
    return rc < 0 ? rc : live_daemon_start(&s->link, at, err);
}

static int run(struct season_run *s, struct err *err)
{
    size_t n_days = (size_t)(7 * s->o->weeks);
    int rc = s->o->policy == POLICY_TARN ? start_tarn(s, err) : 0;

    for (size_t day = 0; day < n_days && rc == 0; day++) {
        rc = live_a_day(s, day);
    }
    if (rc == 0 && s->o->policy == POLICY_TARN) {
        rc = grower_end(&s->grower);
        if (rc == 0) {
            rc = live_daemon_stop(&s->link, &s->grower.err);
        }
    }
    if (rc < 0 && err->code == 0) {
        *err = s->grower.err;
    }
    return rc;
}

static void set_source(struct source_water *source, const struct options *o)
{
    if (!isnan(o->source_ec)) {
        source->ec_ms_cm = o->source_ec;
    }
    if (!isnan(o->source_alkalinity)) {
        source->alkalinity_mg_l = o->source_alkalinity;
    }
}

/* By the recipe that most plants end with: one feed serves all. */
static void set_feed(struct room *room, double feed_ms_cm)
{
    size_t *n = mem_array(room->n_recipes, sizeof *n);
    size_t best = 0;

    for (size_t i = 0; i < room->n_containers; i++) {
        const struct crop *crop = &room->crop[room->container[i].crop];

        n[crop->stage[crop->n_stages - 1].recipe_at]++;
    }
    for (size_t k = 0; k < room->n_recipes; k++) {
        best = n[k] > n[best] ? k : best;
    }
    free(n);
    room->reservoir.feed_at = best;
    room->reservoir.feed_ms_cm = feed_ms_cm;
    memcpy(room->reservoir.feed_recipe, room->recipe[best].name,
           sizeof room->reservoir.feed_recipe);
}

/* What the options say otherwise of the room. */
static void set_room(struct room *room, const struct options *o)
{
    set_source(&room->source, o);
    if (!isnan(o->feed)) {
        set_feed(room, o->feed);
    }
    for (int k = 0; k < WEEKDAYS && o->works_told; k++) {
        room->labour.budget_min[k] = o->works[k] ? room->labour.budget_min[k] : 0;
    }
}

static struct calendar_habits habits_of(const struct options *o)
{
    return (struct calendar_habits){.way = o->policy == POLICY_CALENDAR  ? CALENDAR_EACH
                                           : o->policy == POLICY_GROUPED ? CALENDAR_GROUPED
                                                                         : CALENDAR_NOTEBOOK,
                                    .bump_below_frac = o->bump_below_pct / 100,
                                    .bump_to_frac = o->bump_to_pct / 100,
                                    .change_days = o->change_days};
}

static void season_init(struct season_run *s)
{
    uint64_t seed = (uint64_t)s->o->seed;
    int32_t first_day = first_day_of(&s->room);

    set_room(&s->room, s->o);
    truth_init(&s->truth, &s->room, seed, truth_usual);
    truth_live(&s->truth, seed, &truth_season_usual);
    s->truth.reservoir = (struct water_body){0}; /* nobody filled it yet */
    ledger_init(&s->ledger, &s->room, first_day, (size_t)(7 * s->o->weeks));
    hands_init(&s->hands, &s->room, &s->truth, &s->ledger, seed);
    calendar_init(&s->calendar, &s->hands, &s->faults, habits_of(s->o));
    grower_init(&s->grower, &s->hands, &s->faults, &s->link);
    s->grower.verbose = s->o->verbose;
    if (s->o->trace && room_find(&s->room, s->o->trace).kind == SUBJECT_CONTAINER) {
        s->grower.traced = room_find(&s->room, s->o->trace).at;
    } else if (s->o->trace) {
        s->grower.traced = s->room.n_containers;
    }
}

static void season_deinit(struct season_run *s)
{
    live_daemon_deinit(&s->link);
    grower_deinit(&s->grower);
    calendar_deinit(&s->calendar);
    hands_deinit(&s->hands);
    ledger_deinit(&s->ledger);
    truth_deinit(&s->truth);
    room_deinit(&s->room);
}

static double now_s(void)
{
    struct timespec t;

    (void)clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

int main(int argc, char **argv)
{
    struct options o = {.weeks = 16,
                        .seed = 1,
                        .change_days = CALENDAR_DAYS,
                        .bump_below_pct = NOTEBOOK_PCT,
                        .bump_to_pct = 100,
                        .feed = NAN,
                        .source_ec = NAN,
                        .source_alkalinity = NAN,
                        .tarnd = TARND,
                        .crops = TARN_SOURCE_DIR "/config/crops"};
    struct room_faults room_faults = {0};
    struct season_run s = {
        .o = &o, .link = {.fd = -1, .notify_fd = -1}
    };
    struct report report;
    struct err err = {0};
    double began_s = now_s();
    int rc;

    if (!read_options(argc, argv, &o)) {
        return usage();
    }
    if (room_read(o.room, o.crops, &s.room, &room_faults) < 0 ||
        first_day_of(&s.room) == DAY_NONE) {
        (void)fprintf(stderr, "%s has faults, or starts nothing; see tarnd --check\n", o.room);
        return 1;
    }
    season_init(&s);
    rc = faults_read(o.faults, &s.room, &s.faults, &err);
    if (rc == 0) {
        rc = run(&s, &err);
    }
    s.ledger.wall_s = now_s() - began_s;
    report = (struct report){policy_words[o.policy], o.seed, o.weeks};
    if (rc < 0) {
        (void)fprintf(stderr, "season: %s\n", err.msg);
    } else if (o.json) {
        report_json(&report, &s.ledger);
    } else {
        report_table(&report, &s.ledger);
    }
    season_deinit(&s);
    return rc < 0;
}
