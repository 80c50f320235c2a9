/* Forty containers, three crops, sixteen weeks: every day's list acknowledged through the socket.
 */
#include "config/read/room_read.h"
#include "daemon/base/mem.h"
#include "daemon/core/state/fold.h"
#include "daemon/core/state/forecast.h"
#include "daemon/store/journal.h"
#include "tests/cmocka_all.h"
#include "tests/system/rig.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define WEEKS 16
#define SEED  20260301U

struct season {
    struct rig rig;
    struct client client;
    uint64_t random;
    json_t *status; /* of this morning */
    json_t *acked;  /* how often, by kind */
    json_t *opens;  /* by container: the day on which its float will open */
    unsigned n_acks, n_late, n_deferred, n_dropped, n_voided, n_parts, n_refills, n_tried;
};

/* SplitMix64 (Steele, Lea, Flood 2014). */
static uint64_t draw(struct season *s)
{
    uint64_t z = (s->random += 0x9E3779B97F4A7C15ULL);

    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
    return z ^ (z >> 31);
}

static bool one_in(struct season *s, unsigned n)
{
    return draw(s) % n == 0;
}

/* Within a few percent of v, as a meter shows it. */
static double about(struct season *s, double v)
{
    return v * (0.97 + 0.06 * (double)(draw(s) % 1001) / 1000);
}

static double number(const json_t *o, const char *key)
{
    return json_number_value(json_object_get(o, key));
}

static const char *text(const json_t *o, const char *key)
{
    const char *s = json_string_value(json_object_get(o, key));

    return s ? s : "";
}

static json_t *container_now(struct season *s, const char *name)
{
    json_t *all = json_object_get(s->status, "containers");
    json_t *c;
    size_t i;

    json_array_foreach(all, i, c)
    {
        if (strcmp(text(c, "name"), name) == 0) {
            return c;
        }
    }
    return NULL;
}

/* The room's truth: the float of a planting opens on the day that was first foretold. */
static void look(struct season *s)
{
    json_t *c;
    size_t i;

    json_decref(s->status);
    s->status = client_ask(&s->client, "status", NULL);
    json_array_foreach(json_object_get(s->status, "containers"), i, c)
    {
        const char *name = text(c, "name");

        if (json_is_null(json_object_get(c, "crop"))) {
            (void)json_object_del(s->opens, name);
        } else if (!json_object_get(s->opens, name)) {
            (void)json_object_set(s->opens, name, json_object_get(c, "float_on"));
        }
    }
}

static json_t *reading_of(struct season *s, const char *name)
{
    json_t *c = container_now(s, name);
    double ec = c ? number(c, "ec_ms_cm") : 0.05;

    return json_pack("{s:f,s:f}", "ec_ms_cm", about(s, ec), "ph", about(s, 5.85));
}

/* What a grower tells of each kind of task. */
static json_t *figures_of(struct season *s, const json_t *task)
{
    const char *kind = text(task, "kind");
    double ec = number(task, "ec_ms_cm");
    double volume_l = number(task, "volume_l");

    if (strcmp(kind, "start") == 0 || strcmp(kind, "bump") == 0) {
        return json_pack("{s:f}", "ec_ms_cm", about(s, ec));
    }
    if (strcmp(kind, "change") == 0 && json_is_true(json_object_get(task, "made"))) {
        return json_is_true(json_object_get(task, "leaves_rest"))
                   ? json_object()
                   : json_pack("{s:s}", "added", "240 L");
    }
    if (strcmp(kind, "change") == 0) {
        json_t *told =
            json_pack("{s:f,s:f,s:f}", "ec_ms_cm", about(s, ec), "ph", 5.8, "volume_l", volume_l);

        if (!json_is_true(json_object_get(task, "leaves_rest"))) {
            json_object_set_new(told, "added", json_string("240 L"));
        }
        return told;
    }
    if (strcmp(kind, "ph") == 0) {
        return json_pack("{s:f}", "ph", 5.8);
    }
    if (strcmp(kind, "fill") == 0) {
        return json_pack("{s:s,s:s}", "volume", "245 L", "ec", "0.05 mS/cm");
    }
    if (strcmp(kind, "overnight") == 0) {
        return json_pack("{s:s}", "added", "0 L");
    }
    if (strcmp(kind, "calibrate") == 0) {
        return json_pack("{s:s}", "slope", "97 %");
    }
    if (strcmp(kind, "overnight") == 0) {
        return json_pack("{s:s}", "added", "0 L");
    }
    if (strcmp(kind, "reorder") == 0) {
        return json_pack("{s:s}", "amount", "60 L");
    }
    return json_object();
}

static json_t *look_of(struct season *s, const char *name)
{
    const char *today = text(s->status, "now"); /* its day stands in front */

    return json_pack("{s:s}", "what", strncmp(today, text(s->opens, name), 10) >= 0 ? "yes" : "no");
}

static json_t *ack_params(struct season *s, const json_t *task)
{
    bool check = strcmp(text(task, "kind"), "check") == 0;
    json_t *params = json_pack("{s:O,s:b}", "task", json_object_get(task, "id"), "sure", 1);
    json_t *subjects = json_object_get(task, "subjects");
    json_t *name;
    size_t i;

    if (check || strcmp(text(task, "kind"), "read") == 0) {
        json_t *told = json_object();

        json_array_foreach(subjects, i, name)
        {
            json_object_set_new(told, json_string_value(name),
                                check ? look_of(s, json_string_value(name))
                                      : reading_of(s, json_string_value(name)));
        }
        json_object_set_new(params, "subjects", told);
    } else {
        json_object_set_new(params, "figures", figures_of(s, task));
    }
    if (json_array_size(subjects) > 2 && one_in(s, 6)) {
        json_object_set_new(params, "only", json_pack("[O]", json_array_get(subjects, 0)));
        if (check || strcmp(text(task, "kind"), "read") == 0) {
            json_object_del(params, "only");
        } else {
            json_object_del(json_object_get(params, "figures"), "added"); /* with the last part */
            s->n_parts++;
        }
    }
    return params;
}

static void check_task(struct season *s, const json_t *task)
{
    json_t *name;
    size_t i;

    assert_true(strcmp(text(task, "earliest"), text(task, "due")) <= 0);
    assert_true(strcmp(text(task, "due"), text(task, "latest")) <= 0);
    assert_true(*text(task, "why") != '\0');
    if (strcmp(text(task, "kind"), "change") != 0) {
        return;
    }
    json_array_foreach(json_object_get(task, "subjects"), i, name)
    {
        json_t *shown = client_ask(&s->client, "show", json_pack("{s:O}", "what", name));
        json_t *c = json_object_get(shown, "container");

        assert_true(number(c, "safe_volume_l") <= number(c, "float_volume_l") + 1e-6);
        json_decref(shown);
    }
}

/* A refill above the line is refused, whoever asks and however sure. */
static void try_to_drown(struct season *s)
{
    json_t *c;
    size_t i;

    json_array_foreach(json_object_get(s->status, "containers"), i, c)
    {
        if (strcmp(text(c, "condition"), "on float") == 0 && one_in(s, 40)) {
            json_t *told = json_pack("{s:{s:s}}", text(c, "name"), "added", "500 mL");

            s->n_tried++;
            client_refused(
                &s->client, "record",
                json_pack("{s:s,s:o,s:b}", "kind", "topped-up", "subjects", told, "sure", 1),
                -32000, "would drown its air roots");
        }
    }
}

static json_t *do_task(struct season *s, const json_t *task)
{
    json_t *id = json_object_get(task, "id");

    if (one_in(s, 60)) {
        s->n_deferred++;
        return client_ask(
            &s->client, "defer",
            json_pack("{s:O,s:s,s:s}", "task", id, "to", "tomorrow", "why", "ran late"));
    }
    if (strcmp(text(task, "kind"), "care") == 0 && one_in(s, 5)) {
        s->n_dropped++;
        return client_ask(&s->client, "drop",
                          json_pack("{s:O,s:s}", "task", id, "why", "it looked well"));
    }
    s->n_acks++;
    json_object_set_new(
        s->acked, text(task, "kind"),
        json_integer(1 + json_integer_value(json_object_get(s->acked, text(task, "kind")))));
    return client_ask(&s->client, "ack", ack_params(s, task));
}

/* Now and then a reading of yesterday, or one that is taken back. */
static void tell_besides(struct season *s, unsigned day)
{
    json_t *c = json_array_get(json_object_get(s->status, "containers"), draw(s) % 40);
    json_t *told;
    json_t *result;
    json_t *first;

    if (day == 0 || json_is_null(json_object_get(c, "crop")) || !one_in(s, 3)) {
        return;
    }
    told = json_pack("{s:{s:f}}", text(c, "name"), "ph", 5.9);
    s->n_late++;
    result = client_ask(
        &s->client, "record",
        json_pack("{s:s,s:o,s:s}", "kind", "reading", "subjects", told, "at", "yesterday 18:00"));
    if (one_in(s, 3)) {
        first = json_array_get(json_object_get(result, "entries"), 0);
        s->n_voided++;
        json_decref(client_ask(&s->client, "void",
                               json_pack("{s:O,s:s}", "entry", json_object_get(first, "seq"), "why",
                                         "the wrong tub")));
    }
    json_decref(result);
}

static json_t *next_task(struct season *s)
{
    json_t *list = client_ask(&s->client, "today", NULL);
    json_t *task = json_incref(json_array_get(json_object_get(list, "tasks"), 0));

    json_decref(list);
    return task;
}

static void live_a_day(struct season *s, unsigned day)
{
    json_t *task;
    unsigned n = 0;
    double volume_l;

    look(s);
    tell_besides(s, day);
    try_to_drown(s);
    while ((task = next_task(s))) {
        check_task(s, task);
        json_decref(do_task(s, task));
        json_decref(task);
        if (++n > 200) {
            fail_msg("day %u: the list does not end (seed %u)", day, SEED);
        }
    }
    look(s);
    volume_l = number(json_object_get(s->status, "reservoir"), "volume_l");
    if (json_object_get(s->acked, "fill") && /* the first fill waits for the first day of work */
        volume_l < number(json_object_get(s->status, "reservoir"), "remainder_l")) {
        fail_msg("day %u: the reservoir is down to %g L (seed %u)", day, volume_l, SEED);
    }
}

/* Without what comes on later days: of that today's list keeps what it put off till then, which is
 * in no journal. */
static char *ask_text(struct season *s, const char *method)
{
    json_t *answer = client_ask(&s->client, method, NULL);
    char *t;

    (void)json_object_del(answer, "next");
    t = json_dumps(answer, JSON_SORT_KEYS);
    json_decref(answer);
    return t;
}

struct folded {
    struct room room;
    struct state state;
};

static bool fold_one(void *ctx, const struct entry *e)
{
    struct folded *f = ctx;

    fold_entry(&f->state, &f->room, e);
    return true;
}

/* The journal by itself gives the room that the daemon showed. */
static void compare_with_journal(struct season *s, int64_t now_s)
{
    struct folded f = {0};
    struct room_faults *faults = mem_array(1, sizeof *faults);
    struct journal *journal = NULL;
    struct err e = {0};
    json_t *all = json_object_get(s->status, "containers");

    assert_int_equal(room_read(s->rig.room, TARN_SOURCE_DIR "/config/crops", &f.room, faults), 0);
    state_init(&f.state, &f.room);
    assert_int_equal(journal_open(s->rig.state, &journal, &e), 0);
    assert_int_equal(journal_fold(journal, fold_one, &f, &e), 0);
    journal_close(journal);
    for (size_t i = 0; i < f.room.n_containers; i++) {
        json_t *c = json_array_get(all, i);
        struct forecast now = forecast_container(&f.room, &f.state, i, now_s);

        assert_string_equal(text(c, "name"), f.room.container[i].name);
        assert_string_equal(text(c, "condition"), condition_words[now.condition]);
        assert_true(fabs(number(c, "volume_l") - now.body.volume_l) < 1e-6);
        if (f.state.container[i].crop >= 0) {
            assert_true(fabs(number(c, "ec_ms_cm") - now.body.ec_ms_cm) < 1e-6);
        }
    }
    assert_true(fabs(number(json_object_get(s->status, "reservoir"), "volume_l") -
                     forecast_reservoir(&f.room, &f.state, now_s).volume_l) < 1e-6);
    state_deinit(&f.state);
    room_deinit(&f.room);
    free(faults);
}

static void a_season_of_sixteen_weeks_is_lived_and_remembered(void **ctx)
{
    static const char *const asked[] = {"status", "today", "stock"};
    struct season s = {.random = SEED, .acked = json_object(), .opens = json_object()};
    char *acked;
    char *before[sizeof asked / sizeof *asked];
    json_t *now;

    (void)ctx;
    rig_make(&s.rig, "config/rooms/forty.yaml", "2026-03-01T07:00");
    rig_start(&s.rig);
    client_open(&s.client, &s.rig);
    for (unsigned day = 0; day < WEEKS * 7; day++) {
        live_a_day(&s, day);
        json_decref(client_ask(&s.client, "clock", json_pack("{s:s}", "advance", "1 day")));
    }
    print_message(
        "%u acks (%u in parts), %u late, %u voided, %u deferred, %u dropped, %u drownings "
        "refused\n",
        s.n_acks, s.n_parts, s.n_late, s.n_voided, s.n_deferred, s.n_dropped, s.n_tried);
    acked = json_dumps(s.acked, 0);
    print_message("%s\n", acked);
    free(acked);
    json_decref(s.acked);
    json_decref(s.opens);
    assert_true(s.n_parts && s.n_late && s.n_voided && s.n_deferred && s.n_dropped && s.n_tried);
    for (size_t i = 0; i < sizeof asked / sizeof *asked; i++) {
        before[i] = ask_text(&s, asked[i]);
    }
    look(&s);
    client_close(&s.client);
    rig_stop(&s.rig);

    /* 2026-03-01 07:00 in Vienna is 06:00 UTC; the clock moved by 112 times 24 hours. */
    compare_with_journal(&s, 20513LL * 86400 + 6 * 3600 + WEEKS * 7 * 86400LL);

    /* The simulated clock goes on from the last entry; it is moved to where it stood. */
    rig_start(&s.rig);
    client_open(&s.client, &s.rig);
    now = client_ask(&s.client, "clock", json_pack("{s:s}", "to", "2026-06-21 08:00"));
    json_decref(now);
    for (size_t i = 0; i < sizeof asked / sizeof *asked; i++) {
        char *after = ask_text(&s, asked[i]);

        assert_string_equal(after, before[i]);
        free(after);
        free(before[i]);
    }
    client_close(&s.client);
    rig_stop(&s.rig);
    json_decref(s.status);
    rig_remove(&s.rig);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_season_of_sixteen_weeks_is_lived_and_remembered),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
