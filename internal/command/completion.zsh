#compdef holdbook
# Completion of holdbook for zsh. The words typed are handed over as they
# stand; nothing of them is expanded or evaluated.
_holdbook() {
  local line files=
  local -a found
  while IFS= read -r line; do
    if [[ $line == :files ]]; then files=1; else found+=("$line"); fi
  done < <(command holdbook __complete "${(@)words[2,CURRENT]}" 2>/dev/null)
  (( $#found )) && compadd -- "${found[@]}"
  [[ -n $files ]] && _files
  return 0
}
if (( $+functions[compdef] )); then
  compdef _holdbook holdbook
elif [[ ${funcstack[1]:-} == _holdbook ]]; then
  _holdbook "$@"
fi
