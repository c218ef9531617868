# Builds the browser app outside the source tree:
#   cmake -DSOURCE=frontend -DWORK=folder -DNPM=npm -DMUST=ON|OFF -P build.cmake
# What is built ends in WORK/dist. Unless MUST is ON, an app that cannot be built (no network, say) is only warned of.
file(MAKE_DIRECTORY "${WORK}")
file(REMOVE_RECURSE "${WORK}/src" "${WORK}/public" "${WORK}/dist")
foreach(part src public index.html package.json package-lock.json svelte.config.js tsconfig.json vite.config.ts .npmrc)
  file(COPY "${SOURCE}/${part}" DESTINATION "${WORK}")
endforeach()

function(give_up why)
  if(MUST)
    message(FATAL_ERROR "The browser app could not be built: ${why}")
  endif()
  message(WARNING "Nightfold is installed without its browser app: ${why}")
endfunction()

# Fetched anew only when the list of packages has changed.
file(SHA256 "${SOURCE}/package-lock.json" wanted)
set(have "")
if(EXISTS "${WORK}/fetched.txt")
  file(READ "${WORK}/fetched.txt" have)
endif()
if(NOT have STREQUAL wanted)
  execute_process(COMMAND "${NPM}" ci --omit=dev --ignore-scripts --no-audit --no-fund --loglevel=error
    WORKING_DIRECTORY "${WORK}" RESULT_VARIABLE failed OUTPUT_VARIABLE said ERROR_VARIABLE said)
  if(failed)
    give_up("npm could not fetch its packages.\n${said}")
    return()
  endif()
  file(WRITE "${WORK}/fetched.txt" "${wanted}")
endif()
execute_process(COMMAND "${NPM}" run --silent build
  WORKING_DIRECTORY "${WORK}" RESULT_VARIABLE failed OUTPUT_VARIABLE said ERROR_VARIABLE said)
if(failed)
  give_up("its sources do not build.\n${said}")
else()
  # Left out after a failure, so that the next build tries again.
  file(TOUCH "${WORK}/built.txt")
endif()
