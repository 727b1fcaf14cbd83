/* host.h — what the trusted check engine may call: the table `host` in its state.
 *
 * The engine decides; each rule file runs in a sandboxed state of its own, and only data passes between the two. */
#ifndef IMP_HOST_H
#define IMP_HOST_H

#include "document.h"
#include "sandbox.h"

typedef enum imp_host_kind { IMP_HOST_TEXT, IMP_HOST_TEXTS, IMP_HOST_FLAG, IMP_HOST_NUMBER } imp_host_kind;

/* One field of host.options(). */
typedef struct imp_host_option {
    const char *name;
    imp_host_kind kind;
    const char *text;         /* IMP_HOST_TEXT; NULL = nil */
    const char *const *texts; /* IMP_HOST_TEXTS: an array of `count` */
    size_t count;
    bool flag;
    double number;
} imp_host_option;

typedef struct imp_host_settings {
    imp_node *job; /* tree of the job; borrowed; overlays change it during a call and are taken back. May be NULL */
    const imp_param *rows;          /* the job's field table, for host.field() */
    const imp_host_option *options; /* borrowed */
    size_t option_count;
    const char *date;        /* today as an ISO date, where the job has none of its own; borrowed; may be NULL */
    const char *const *words; /* what rule files may declare, ended by NULL; NULL: rule, tighten, silence, replace, case */
    void (*waiting)(void *context, bool begins); /* around long work that is no script's; may be NULL */
    void *waiting_context;
    imp_script_options rule; /* how each rule file's state is opened; `write` receives what rule files print */
    imp_write write;         /* receives host.write() */
    void *write_context;
} imp_host_settings;

typedef struct imp_host imp_host;

/* Put the table `host` into the engine's globals. What settings borrows must live until imp_host_close.
 * IMP_MEMORY, IMP_LIMIT. */
imp_status imp_host_open(imp_script *engine, const imp_host_settings *settings, imp_host **host, imp_error *error);

/* True when the machine had no memory during a rule: the engine's results then are not to be shown. */
bool imp_host_ran_short(const imp_host *host);

/* Close the states of the rule files. Close the engine's script first. NULL is allowed. */
void imp_host_close(imp_host *host);

#endif
