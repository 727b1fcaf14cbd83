# What optimised builds are hardened with, where the compiler knows it: the target `hardening`, for those that link it.
include(CheckCSourceCompiles)
include(CheckPIESupported)
check_pie_supported(LANGUAGES C)

add_library(hardening INTERFACE)
set(optimised $<CONFIG:RelWithDebInfo,Release,MinSizeRel>)
foreach(flag -fstack-protector-strong -fstack-clash-protection -fcf-protection)
  string(MAKE_C_IDENTIFIER "has${flag}" known)
  check_c_compiler_flag(${flag} ${known})
  if(${known})
    target_compile_options(hardening INTERFACE $<${optimised}:${flag}>)
  endif()
endforeach()

# Level 3 where the compiler and the C library know it, else 2.
set(CMAKE_REQUIRED_FLAGS "-O2 -Werror -U_FORTIFY_SOURCE -D_FORTIFY_SOURCE=3")
check_c_source_compiles("#include <string.h>\nint main(void) { return __USE_FORTIFY_LEVEL == 3 ? 0 : sizeof(char[__USE_FORTIFY_LEVEL == 3 ? 1 : -1]); }"
  HAS_FORTIFY_SOURCE_3)
unset(CMAKE_REQUIRED_FLAGS)
set(level 2)
if(HAS_FORTIFY_SOURCE_3)
  set(level 3)
endif()
target_compile_options(hardening INTERFACE $<${optimised}:-U_FORTIFY_SOURCE> $<${optimised}:-D_FORTIFY_SOURCE=${level}>)
if(CMAKE_SYSTEM_NAME STREQUAL "Linux")
  target_link_options(hardening INTERFACE $<${optimised}:LINKER:-z,relro,-z,now>)
endif()
