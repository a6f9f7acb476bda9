# Completion of holdbook for bash. The words typed are handed over as they
# stand; nothing of them is expanded or evaluated.
_holdbook() {
  local line files=
  COMPREPLY=()
  while IFS= read -r line; do
    if [[ $line == :files ]]; then files=1; else COMPREPLY+=("$line"); fi
  done < <(command holdbook __complete "${COMP_WORDS[@]:1:COMP_CWORD}" 2>/dev/null)
  if [[ -n $files ]]; then compopt -o default 2>/dev/null || :; else compopt +o default 2>/dev/null || :; fi
}
complete -o default -F _holdbook holdbook
