# Completion of holdbook for PowerShell. The words typed are handed over as
# they stand; nothing of them is expanded or evaluated.
Register-ArgumentCompleter -Native -CommandName holdbook -ScriptBlock {
    param($wordToComplete, $commandAst, $cursorPosition)
    $words = @($commandAst.CommandElements | Select-Object -Skip 1 |
        Where-Object { $_.Extent.EndOffset -lt $cursorPosition } |
        ForEach-Object { $_.Extent.Text })
    $program = (Get-Command -CommandType Application holdbook | Select-Object -First 1).Source
    & $program __complete @words "$wordToComplete" 2>$null |
        Where-Object { $_ -ne ':files' } |
        ForEach-Object { [System.Management.Automation.CompletionResult]::new($_, $_, 'ParameterValue', $_) }
}
