using System.CommandLine;
using System.CommandLine.Invocation;
using KitMesh.Domain;

namespace KitMesh.Cli.Frame;

/// <summary>From words to an exit code: parse, run, print what went wrong.</summary>
internal static class CommandLine
{
    /// <summary>Runs one command line.</summary>
    /// <param name="words">The words after the program's name.</param>
    /// <param name="surroundings">Clocks, generators and streams.</param>
    public static async Task<ExitCode> RunAsync(string[] words, Surroundings surroundings)
    {
        TextWriter talk = surroundings.ErrorStream;
        try
        {
            ParseResult parsed = CommandTree.Build(surroundings).Parse(words);
            if (parsed.Action is ParseErrorAction || (parsed.Action is null && parsed.Errors.Count > 0))
            {
                return PrintUsage(parsed, talk);
            }

            var configuration = new InvocationConfiguration
            {
                Output = surroundings.OutputStream,
                Error = talk,
                EnableDefaultExceptionHandler = false,
                ProcessTerminationTimeout = null,
            };
            return (ExitCode)await parsed.InvokeAsync(configuration);
        }
        catch (Exception fault)
        {
            return FaultPrinter.Print(fault, talk, surroundings.Stop.IsCancellationRequested);
        }
    }

    private static ExitCode PrintUsage(ParseResult parsed, TextWriter talk)
    {
        foreach (string message in Messages(parsed))
        {
            talk.WriteLine($"kitmesh: {message}");
        }

        string verb = string.Join(' ', Path(parsed.CommandResult));
        talk.WriteLine($"         See: {verb} --help");
        return ExitCode.BadInput;
    }

    /// <summary>What is wrong, in our words where the parser's are for programmers.</summary>
    private static IEnumerable<string> Messages(ParseResult parsed)
    {
        Command at = parsed.CommandResult.Command;
        string[] words = [.. parsed.UnmatchedTokens];
        foreach (string word in words)
        {
            bool isOption = word.StartsWith('-');
            IEnumerable<string> known = isOption ? at.Options.Select(option => option.Name) : at.Subcommands.Select(command => command.Name);
            string mend = NearestWord.To(word, known) is { } near ? $" Did you mean \"{near}\"?" : "";
            yield return $"There is no {(isOption ? "option" : at.Subcommands.Count > 0 ? "command" : "further word")} \"{word}\" here.{mend}";
        }

        if (words.Length > 0)
        {
            yield break;
        }

        if (at.Subcommands.Count > 0 && at.Action is null)
        {
            yield return $"Say what to do: {string.Join(", ", at.Subcommands.Select(command => command.Name).Order(StringComparer.Ordinal))}.";
            yield break;
        }

        foreach (string message in parsed.Errors.Select(InOurWords).Distinct())
        {
            yield return message;
        }
    }

    private static string InOurWords(System.CommandLine.Parsing.ParseError error) =>
        error.SymbolResult is System.CommandLine.Parsing.ArgumentResult { Tokens.Count: 0 } missing && missing.Argument.Arity.MinimumNumberOfValues > 0
            ? $"<{missing.Argument.HelpName ?? missing.Argument.Name}> is missing: {missing.Argument.Description}"
            : error.Message;

    private static IEnumerable<string> Path(System.CommandLine.Parsing.CommandResult? result)
    {
        List<string> names = [];
        for (var at = result; at is not null; at = at.Parent as System.CommandLine.Parsing.CommandResult)
        {
            names.Insert(0, at.Parent is null ? "kitmesh" : at.Command.Name);
        }

        return names;
    }
}
