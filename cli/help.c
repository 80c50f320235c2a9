#include "cli/help.h"

#include "cli/layout.h"
#include "cli/verb.h"
#include "daemon/core/words/entry_kind.h"

#include <assert.h>
#include <string.h>

#define SAYS_AT    22
#define SAYS_BELOW 6  /* where a page has no room for two columns … */
#define NARROW     60 /* … because it is narrower than this */

static void two_columns(struct text *out, const char *name, const char *says)
{
    bool narrow = layout_columns(out) < NARROW;
    size_t at = narrow ? SAYS_BELOW : SAYS_AT;

    text_add(out, "  ");
    layout_pad(out, name, narrow ? 0 : SAYS_AT - 4, false);
    if (narrow || layout_width(name) > SAYS_AT - 4) {
        text_add(out, "\n%*s", (int)at, "");
    } else {
        text_add(out, "  ");
    }
    layout_wrap(out, says, at, at);
}

static void list_options(unsigned which, struct text *out)
{
    for (int o = 0; o < OPTION_N; o++) {
        struct text name = {0};

        if (which & OPTION_BIT(o)) {
            text_add(&name, "%s%s%s", options[o].name, options[o].value ? " " : "",
                     options[o].value ? options[o].value : "");
            two_columns(out, text_str(&name), options[o].help);
        }
        text_deinit(&name);
    }
}

void help_all(struct text *out)
{
    layout_wrap(out,
                "tarn - what a grower says to the daemon that looks after the room\n\n"
                "Usage: tarn [OPTIONS] VERB [WORDS]\n",
                0, 0);
    for (size_t i = 0; i < n_verbs; i++) {
        two_columns(out, verbs[i].name, verbs[i].says);
    }
    text_add(out, "\n");
    list_options(OPTIONS_COMMON, out);
    layout_wrap(out,
                "\n'tarn help VERB' says more about one, with examples.\n"
                "Exit: 0 done, 1 refused, 2 wrong usage, 3 no daemon, 4 another version.",
                0, 0);
}

static void list_kinds(struct text *out)
{
    text_add(out, "\n");
    for (int k = 0; k < ENTRY_KIND_N; k++) {
        if (entry_kinds[k].recordable) {
            two_columns(out, entry_kinds[k].word, entry_kinds[k].help);
        }
    }
}

static void list_examples(const char *lines, struct text *out)
{
    text_add(out, "\nExamples:\n");
    while (*lines) {
        size_t len = strcspn(lines, "\n");

        text_add(out, "  %.*s\n", (int)len, lines);
        lines += len + (lines[len] == '\n');
    }
}

void help_verb(const struct verb *verb, struct text *out)
{
    struct text t = {0};

    text_add(&t, "tarn %s - %s", verb->name, verb->says);
    layout_wrap(out, text_str(&t), 0, 0);
    text_clear(&t);
    text_add(out, "\n");
    text_add(&t, "Usage: tarn %s%s%s", verb->name, *verb->words ? " " : "", verb->words);
    for (int o = 0; o < OPTION_N; o++) {
        if (verb->needs & OPTION_BIT(o)) {
            text_add(&t, " %s %s", options[o].name, options[o].value);
        }
    }
    text_add(&t, "%s", verb->takes & ~verb->needs ? " [OPTIONS]" : "");
    layout_wrap(out, text_str(&t), 0, 7);
    text_deinit(&t);
    if (*verb->about) {
        text_add(out, "\n");
        layout_wrap(out, verb->about, 0, 0);
    }
    if (verb->word_kind == WORD_KIND) {
        list_kinds(out);
    }
    list_examples(verb->example, out);
    text_add(out, "\nOptions:\n");
    list_options(verb->takes, out);
    list_options(OPTIONS_COMMON, out);
}

static void add_case(struct text *out, const struct verb *verb)
{
    static const char *const words[] = {
        [WORD_FREE] = "",
        [WORD_NAME] = "$(_tarn_tasks) $(_tarn_names)",
        [WORD_TASK] = "$(_tarn_tasks) $(_tarn_names)",
        [WORD_KIND] = "$(_tarn_kinds) $(_tarn_names)",
        [WORD_VERB] = "$verbs",
        [WORD_SHELL] = "bash",
        [WORD_CLOCK] = "advance to",
    };

    static_assert(sizeof words / sizeof *words == WORD_N, "each kind of word has its completion");

    text_add(out, "    %s)\n        words=\"%s\"\n        options=\"", verb->name,
             words[verb->word_kind]);
    for (int o = 0; o < OPTION_N; o++) {
        if ((verb->takes | OPTIONS_COMMON) & OPTION_BIT(o)) {
            text_add(out, "%s%s", o ? " " : "", options[o].name);
        }
    }
    text_add(out, "\" ;;\n");
}

static void add_kinds(struct text *out)
{
    text_add(out, "_tarn_kinds() {\n    echo");
    for (int k = 0; k < ENTRY_KIND_N; k++) {
        if (entry_kinds[k].recordable) {
            text_add(out, " %s", entry_kinds[k].word);
        }
    }
    text_add(out, "\n}\n");
}

void help_completion_bash(struct text *out)
{
    text_add(out,
             "# Completion of tarn for bash, as 'tarn completion bash' prints it.\n"
             "_tarn_tasks() {\n"
             "    tarn --json today 2>/dev/null | grep -o '\"id\":\"[0-9]*\"' | cut -d'\"' -f4\n"
             "}\n"
             "_tarn_names() {\n"
             "    echo reservoir\n"
             "    tarn --json status 2>/dev/null | grep -o '\"name\":\"[^\"]*\"' |\n"
             "        cut -d'\"' -f4\n"
             "}\n");
    add_kinds(out);
    text_add(out, "_tarn() {\n"
                  "    local word=${COMP_WORDS[COMP_CWORD]} verb= words= options= i\n"
                  "    local verbs=\"");
    for (size_t i = 0; i < n_verbs; i++) {
        text_add(out, "%s%s", i ? " " : "", verbs[i].name);
    }
    text_add(out, "\"\n"
                  "    for ((i = 1; i < COMP_CWORD; i++)); do\n"
                  "        case ${COMP_WORDS[i]} in\n"
                  "        --socket) ((i++)) ;;\n"
                  "        -*) ;;\n"
                  "        *) verb=${COMP_WORDS[i]}; break ;;\n"
                  "        esac\n"
                  "    done\n"
                  "    case $verb in\n");
    text_add(out,
             "    '')\n        words=$verbs\n        options=\"--socket --json --help --version\""
             " ;;\n");
    for (size_t i = 0; i < n_verbs; i++) {
        add_case(out, &verbs[i]);
    }
    text_add(out, "    esac\n"
                  "    [[ $word == -* ]] && words=$options\n"
                  "    mapfile -t COMPREPLY < <(compgen -W \"$words\" -- \"$word\")\n"
                  "}\n"
                  "complete -F _tarn tarn\n");
}
