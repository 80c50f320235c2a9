#include "cli/plain.h"

#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/base/num.h"
#include "daemon/core/words/hint.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

const char *const plain_keys[] = {"ec", "ph", "volume", "volume"};

/* The unit of a figure that was said without one. */
static const char *unit_of(const struct view *v, enum plain_figure figure)
{
    switch (figure) {
    case PLAIN_EC:
        return view_ec_unit(v);
    case PLAIN_LEVEL:
        return view_volume_unit(v);
    case PLAIN_HEIGHT:
        return view_length_unit(v);
    case PLAIN_PH:
        break;
    }
    return "";
}

static bool is_number(const char *s)
{
    double v;

    return num_parse(s, &v, NULL) == 0;
}

char *plain_figure(const struct view *v, enum plain_figure figure, const char *said)
{
    struct text t = {0};
    char *out;

    if (!isdigit((unsigned char)*said) && *said != '.' && *said != '-') {
        return NULL;
    }
    text_add(&t, "%s", said);
    if (is_number(said) && *unit_of(v, figure)) {
        text_add(&t, " %s", unit_of(v, figure));
    }
    out = mem_strdup(text_str(&t));
    text_deinit(&t);
    return out;
}

static int put(json_t *reading, const char *key, const char *value, struct err *e)
{
    if (json_object_get(reading, key)) {
        return err_set(e, ERR_SYNTAX, "%s of %s is given twice", key,
                       json_string_value(json_object_get(reading, "subject")));
    }
    if (json_object_set_new(reading, key, json_string(value)) < 0) {
        return err_set(e, ERR_SYNTAX, "a line is given in letters that are not UTF-8");
    }
    return 0;
}

/* A word behind a name: "ph=5.8", or the next of the row. */
static int put_word(const struct view *v, json_t *reading, char *word, size_t *place, struct err *e)
{
    char *value = strchr(word, '=');
    char *said;
    int rc;

    if (value) {
        const char *known;

        *value++ = '\0';
        known = hint_figure(word);
        return put(reading, known ? known : word, value, e);
    }
    if (*place == PLAIN_N) {
        return err_set(e, ERR_SYNTAX, "'%.40s' is one figure too many: a row is EC, pH, level",
                       word);
    }
    if (strcmp(word, "-") == 0) {
        ++*place;
        return 0;
    }
    said = plain_figure(v, (enum plain_figure) * place, word);
    rc = said ? put(reading, plain_keys[*place], said, e)
              : err_set(e, ERR_SYNTAX, "'%.40s' is no figure", word);
    free(said);
    ++*place;
    return rc;
}

static bool is_name(const char *word)
{
    return isalpha((unsigned char)*word) && !strchr(word, '=');
}

/* A name with nothing behind it is no reading. */
static int check_told(const json_t *reading, struct err *e)
{
    if (!reading || json_object_size(reading) > 1) {
        return 0;
    }
    return err_set(e, ERR_SYNTAX, "nothing is told of '%.40s'; a line is A1 1.2 5.8, or JSON",
                   json_string_value(json_object_get(reading, "subject")));
}

int plain_readings(const char *line, const struct view *v, json_t *readings, struct err *e)
{
    char *words = mem_strdup(line);
    char *rest = NULL;
    json_t *now = NULL;
    size_t place = 0;
    int rc = 0;

    for (char *w = strtok_r(words, " \t\r;", &rest); w && rc == 0;
         w = strtok_r(NULL, " \t\r;", &rest)) {
        if (is_name(w)) {
            rc = check_told(now, e);
            now = json_object();
            place = 0;
            rc = rc < 0 ? rc : put(now, "subject", w, e);
            (void)json_array_append_new(readings, now);
        } else if (!now) {
            rc = err_set(e, ERR_SYNTAX, "say of what before '%.40s', as in A1 1.2 5.8", w);
        } else {
            rc = put_word(v, now, w, &place, e);
        }
    }
    free(words);
    return rc < 0 ? rc : check_told(now, e);
}
