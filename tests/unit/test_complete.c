/* What is half added fails here, with a sentence that says what is missing. Where the compiler
 * can say it (a switch without default, a static_assert) it does, and nothing stands here. */
#include "tests/cmocka_all.h"
#include "tests/unit/a_room.h"

#include "daemon/core/state/alarm.h"
#include "daemon/core/state/fold.h"
#include "daemon/core/tasks/job.h"
#include "daemon/serve/api/methods.h"

#include <jansson.h>
#include <stdlib.h>

static unsigned n_missing;

#define MISSING(...) (n_missing++, print_error(__VA_ARGS__))

static char *file_text(const char *name)
{
    char path[512];
    char *text = mem_array(1 << 20, 1);
    FILE *f;

    (void)snprintf(path, sizeof path, "%s/%s", TARN_SOURCE_DIR, name);
    f = fopen(path, "re");
    assert_non_null(f);
    assert_true(fread(text, 1, (1 << 20) - 1, f) > 0);
    (void)fclose(f);
    return text;
}

static json_t *schema_defs(json_t **out_schema)
{
    *out_schema = json_load_file(TARN_SOURCE_DIR "/config/answers.schema.json", 0, NULL);
    assert_non_null(*out_schema);
    return json_object_get(*out_schema, "$defs");
}

/* ---- a method */

/* The method that a line of wire.h begins to describe: " *   hello   {…", or " *   readings {…". */
static bool begins_method(const char *line, char name[32])
{
    return sscanf(line, " *   %31[a-z] {", name) == 1 && strncmp(line, " *   ", 5) == 0 &&
           line[5] != ' ' && strchr(line, '{') && line[5 + strlen(name)] == ' ';
}

/* What wire.h says of a method: up to the next one, or the end of the list. malloc'd;
 * NULL = nothing. */
static char *wire_section(const char *wire, const char *method)
{
    char *section = NULL;
    size_t len = 0;

    for (const char *line = wire; line; line = strchr(line, '\n') ? strchr(line, '\n') + 1 : NULL) {
        char name[32];
        size_t n = strcspn(line, "\n");

        if (begins_method(line, name) && strcmp(name, method) == 0) {
            section = mem_array(65536, 1);
        } else if (section && (begins_method(line, name) || strncmp(line, " *\n", 3) == 0)) {
            break;
        }
        if (section) {
            len += (size_t)snprintf(section + len, 65536 - len, "%.*s\n", (int)n, line);
        }
    }
    return section;
}

static bool has_key(const char *section, const char *key)
{
    char quoted[80];

    (void)snprintf(quoted, sizeof quoted, "\"%s\"", key);
    return strstr(section, quoted) != NULL;
}

/* A name that stands for a shape of its own in wire.h (TASK, ENTRY …) is described once. */
static void check_properties(const char *section, const char *method, const json_t *def)
{
    const char *key;
    json_t *value;

    json_object_foreach(json_object_get(def, "properties"), key, value)
    {
        if (!has_key(section, key)) {
            MISSING("daemon/base/wire.h does not say that the answer to '%s' has \"%s\"\n", method,
                    key);
        }
    }
}

static void check_wire(const char *wire, const struct method *m, const json_t *defs)
{
    char *section = wire_section(wire, m->name);
    const json_t *def = json_object_get(defs, m->name);
    const json_t *one;
    size_t i;

    if (!section || !strstr(section, "->")) {
        MISSING("daemon/base/wire.h does not say what '%s' is asked with and answers\n", m->name);
        free(section);
        return;
    }
    for (size_t p = 0; p < m->n_params; p++) {
        if (!has_key(section, m->param[p].name)) {
            MISSING("daemon/base/wire.h does not say that '%s' takes \"%s\"\n", m->name,
                    m->param[p].name);
        }
    }
    check_properties(section, m->name, def);
    json_array_foreach(json_object_get(def, "oneOf"), i, one)
    {
        const char *ref = json_string_value(json_object_get(one, "$ref"));

        check_properties(section, m->name, json_object_get(defs, ref + strlen("#/$defs/")));
    }
    free(section);
}

/* A key of a shape that is described elsewhere than at its method: TASK, ENTRY, AMOUNTS … */
static void check_all_keys(const char *wire, const char *def_name, const json_t *def)
{
    const char *key;
    json_t *value;

    json_object_foreach(json_object_get(def, "properties"), key, value)
    {
        if (!strstr(wire, key)) {
            MISSING("daemon/base/wire.h says nothing of \"%s\" in '%s' of answers.schema.json\n",
                    key, def_name);
        }
        check_all_keys(wire, def_name, value);
    }
    if (json_object_get(def, "items")) {
        check_all_keys(wire, def_name, json_object_get(def, "items"));
    }
}

/* A verb of the same name, or where else `tarn` asks it. */
static void check_man(const char *man, const char *method)
{
    static const char *const elsewhere[] = {"hello",     /* before every verb */
                                            "kinds",     /* tarn help record */
                                            "readings"}; /* tarn record reading - */
    char heading[64];

    for (size_t i = 0; i < sizeof elsewhere / sizeof *elsewhere; i++) {
        if (strcmp(method, elsewhere[i]) == 0) {
            return;
        }
    }
    (void)snprintf(heading, sizeof heading, "\n.Ss %s", method);
    man = strstr(man, heading);
    if (!man || !strchr(" \n", man[strlen(heading)])) {
        MISSING("cli/tarn.1 has no section '.Ss %s'\n", method);
    }
}

static void every_method_is_described_wherever_people_look(void **ctx)
{
    char *wire = file_text("daemon/base/wire.h");
    char *man = file_text("cli/tarn.1");
    json_t *schema;
    json_t *defs = schema_defs(&schema);
    const char *name;
    json_t *def;

    (void)ctx;
    n_missing = 0;
    for (size_t i = 0; i < methods_n; i++) {
        const struct method *m = &methods[i];

        if (!m->answer == !m->begin) {
            MISSING("daemon/serve/api/methods.c: '%s' wants what answers it, at once or later\n",
                    m->name);
        }
        if (!json_is_object(json_object_get(defs, m->name))) {
            MISSING("config/answers.schema.json has no definition '%s'\n", m->name);
        }
        check_wire(wire, m, defs);
        check_man(man, m->name);
    }
    json_object_foreach(defs, name, def)
    {
        check_all_keys(wire, name, def);
    }
    json_decref(schema);
    free(man);
    free(wire);
    assert_int_equal(n_missing, 0);
}

static bool is_method(const char *name)
{
    for (size_t i = 0; i < methods_n; i++) {
        if (strcmp(methods[i].name, name) == 0) {
            return true;
        }
    }
    return false;
}

static void what_wire_h_describes_can_be_asked(void **ctx)
{
    char *wire = file_text("daemon/base/wire.h");
    unsigned n = 0;

    (void)ctx;
    n_missing = 0;
    for (const char *line = wire; line; line = strchr(line, '\n') ? strchr(line, '\n') + 1 : NULL) {
        char name[32];

        if (begins_method(line, name)) {
            n++;
            if (!is_method(name)) {
                MISSING("daemon/serve/api/methods.c has no row for '%s', of which wire.h tells\n",
                        name);
            }
        }
    }
    free(wire);
    assert_int_equal(n, methods_n);
    assert_int_equal(n_missing, 0);
}

/* ---- words that the answers may have */

static const json_t *property(const json_t *defs, const char *def, const char *name)
{
    return json_object_get(json_object_get(json_object_get(defs, def), "properties"), name);
}

static bool has_word(const json_t *words, const char *word)
{
    const json_t *one;
    size_t i;

    json_array_foreach(words, i, one)
    {
        if (strcmp(json_string_value(one), word) == 0) {
            return true;
        }
    }
    return false;
}

static void check_words(const json_t *words, const char *of, const char *const *ours, size_t n)
{
    if (json_array_size(words) != n) {
        MISSING("config/answers.schema.json knows %zu words for %s, the code %zu\n",
                json_array_size(words), of, n);
    }
    for (size_t i = 0; i < n; i++) {
        if (!ours[i]) {
            MISSING("%s %zu has no word in its table\n", of, i);
        } else if (!has_word(words, ours[i])) {
            MISSING("config/answers.schema.json does not know the %s '%s'\n", of, ours[i]);
        }
    }
}

/* The observations that a container may show. */
static const json_t *words_of_sightings(json_t *defs)
{
    const json_t *c = json_object_get(property(defs, "show_container", "container"), "properties");
    const json_t *seen = json_object_get(json_object_get(c, "seen"), "items");

    return json_object_get(json_object_get(json_object_get(seen, "properties"), "what"), "enum");
}

static void the_schema_knows_every_kind_of_task_alarm_and_figure(void **ctx)
{
    json_t *schema;
    json_t *defs = schema_defs(&schema);
    const json_t *figures = json_object_get(property(defs, "entry", "figures"), "properties");
    const json_t *alarm = json_object_get(property(defs, "status", "alarms"), "items");

    (void)ctx;
    n_missing = 0;
    check_words(json_object_get(property(defs, "task", "kind"), "enum"), "kind of task", task_words,
                TASK_KIND_N);
    check_words(
        json_object_get(json_object_get(json_object_get(alarm, "properties"), "kind"), "enum"),
        "kind of alarm", alarm_words, ALARM_KIND_N);
    check_words(words_of_sightings(defs), "observation", sighting_words, SIGHTING_N);
    for (int f = 0; f < FIGURE_N; f++) {
        if (!figure_defs[f].key || !json_object_get(figures, figure_defs[f].key)) {
            MISSING("config/answers.schema.json does not know the figure '%s' of an entry\n",
                    figure_defs[f].key ? figure_defs[f].key : "?");
        }
    }
    json_decref(schema);
    assert_int_equal(n_missing, 0);
}

/* ---- a kind of entry */

static void every_kind_of_entry_has_its_row_and_is_known_to_the_schema(void **ctx)
{
    const char *words[ENTRY_KIND_N];
    json_t *schema;
    json_t *defs = schema_defs(&schema);

    (void)ctx;
    n_missing = 0;
    for (int k = 0; k < ENTRY_KIND_N; k++) {
        const struct entry_def *d = &entry_kinds[k];

        words[k] = d->word;
        if (!d->word || !d->says || !d->subjects || (d->recordable && !d->help)) {
            MISSING("daemon/core/words/entry_kind.c: kind %d (%s) has no whole row: word, says, "
                    "subjects, and help where a person may record it\n",
                    k, d->word ? d->word : "?");
        } else if (entry_kind_find(d->word) != k) {
            MISSING("daemon/core/words/entry_kind.c: two kinds are called '%s'\n", d->word);
        }
    }
    check_words(json_object_get(property(defs, "entry", "kind"), "enum"), "kind of entry", words,
                ENTRY_KIND_N);
    json_decref(schema);
    assert_int_equal(n_missing, 0);
}

static const char *a_subject(unsigned subjects)
{
    static const char *const names[SUBJECT_KIND_N] = {
        [SUBJECT_CONTAINER] = "A1",         [SUBJECT_RESERVOIR] = "reservoir",
        [SUBJECT_PRODUCT] = "calcium-part", [SUBJECT_METER] = "ph-pen",
        [SUBJECT_RECIPE] = "leaf",          [SUBJECT_ROOM] = "room",
    };
    static const enum subject_kind order[] = {SUBJECT_CONTAINER, SUBJECT_RESERVOIR, SUBJECT_PRODUCT,
                                              SUBJECT_METER,     SUBJECT_RECIPE,    SUBJECT_ROOM};

    for (size_t i = 0; i < sizeof order / sizeof *order; i++) {
        if (subjects & (1U << order[i])) {
            return names[order[i]];
        }
    }
    return "";
}

static const char *a_word(enum what_kind what)
{
    switch (what) {
    case WHAT_CROP:
        return "vine";
    case WHAT_RECIPE:
        return "leaf";
    case WHAT_STAGE:
        return "fruiting";
    case WHAT_OBSERVATION:
        return sighting_words[0];
    case WHAT_CARE:
        return care_word(CARE_FLOAT);
    case WHAT_YES_NO:
        return "yes";
    case WHAT_PART_FINAL:
        return "part";
    case WHAT_JOB:
        return task_words[TASK_CHANGE];
    case WHAT_CONTAINER:
        return "A2";
    case WHAT_NONE:
    case WHAT_SAME_OTHER:
    case WHAT_METER: /* the first of its kind */
        return "";
    }
    return "";
}

/* `tarn record` of a kind that is half added must not end the daemon. */
static void every_kind_of_entry_can_be_folded(void **ctx)
{
    struct room room = a_room();
    struct state s;
    struct entry e;

    (void)ctx;
    n_missing = 0;
    state_init(&s, &room);
    for (int k = 0; k < ENTRY_KIND_N; k++) {
        const struct entry_def *d = &entry_kinds[k];
        unsigned bits = d->needs | d->needs_one | d->takes;

        if (k == ENTRY_VOIDED) { /* never folded: what it voids is left out */
            continue;
        }
        if (k == ENTRY_STARTED || k == ENTRY_CLEANED) { /* it has to be idle, or grow */
            e = told_at(ENTRY_CLEANED, "A1", "", at(k, 8));
            fold_entry(&s, &room, &e);
        }
        if (k == ENTRY_CLEANED) {
            e = with(with(told_at(ENTRY_STARTED, "A1", "vine", at(k, 9)), FIGURE_VOLUME_L, 18),
                     FIGURE_EC_MS_CM, 1);
            fold_entry(&s, &room, &e);
        }
        e = told_at((enum entry_kind)k, a_subject(d->subjects), a_word(d->what), at(k, 10));
        for (int f = 0; f < FIGURE_N; f++) {
            if (bits & FIGURE_BIT(f)) {
                e = with(e, (enum figure)f, figure_defs[f].usual_lo);
            }
        }
        s.n_skipped = 0;
        fold_entry(&s, &room, &e);
        if (s.n_skipped) {
            MISSING("daemon/core/state/fold.c skips a whole entry of the kind '%s'\n", d->word);
        }
    }
    state_deinit(&s);
    room_deinit(&room);
    assert_int_equal(n_missing, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_method_is_described_wherever_people_look),
        cmocka_unit_test(what_wire_h_describes_can_be_asked),
        cmocka_unit_test(the_schema_knows_every_kind_of_task_alarm_and_figure),
        cmocka_unit_test(every_kind_of_entry_has_its_row_and_is_known_to_the_schema),
        cmocka_unit_test(every_kind_of_entry_can_be_folded),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
