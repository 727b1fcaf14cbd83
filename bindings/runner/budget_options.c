#include "budget_options.h"

static const double MEBIBYTE = 1048576.0;

double budget_default_memory(void)
{
    return (double)imp_default_budget().memory / MEBIBYTE;
}

double budget_default_steps(void)
{
    return (double)imp_default_budget().steps;
}

double budget_default_seconds(void)
{
    return imp_default_budget().seconds;
}

double budget_default_output(void)
{
    return (double)imp_default_budget().output / MEBIBYTE;
}

imp_budget budget_of(const options *given)
{
    return (imp_budget){
        .memory = (size_t)(options_number(given, OPTION_MAX_MEMORY) * MEBIBYTE),
        .steps = (unsigned long long)options_number(given, OPTION_MAX_STEPS),
        .seconds = options_number(given, OPTION_MAX_SECONDS),
        .output = (size_t)(options_number(given, OPTION_MAX_OUTPUT) * MEBIBYTE),
    };
}
