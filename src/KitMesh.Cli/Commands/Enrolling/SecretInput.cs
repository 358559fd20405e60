using System.Text;
using KitMesh.Cli.Frame;

namespace KitMesh.Cli.Commands.Enrolling;

/// <summary>Reads secrets from a file or from standard input: never from an argument, which every process list shows.</summary>
internal static class SecretInput
{
    private const int Longest = 1_024;

    /// <summary>One line.</summary>
    /// <param name="run">The run.</param>
    /// <param name="file">A file that holds it; null for standard input.</param>
    /// <param name="what">What is asked for.</param>
    /// <param name="hidden">Whether a terminal shows what is typed.</param>
    public static string Line(CommandRun run, FileInfo? file, string what, bool hidden)
    {
        string? line;
        if (file is not null)
        {
            using StreamReader reader = File.OpenText(file.FullName);
            line = ReadLine(reader);
        }
        else if (Console.IsInputRedirected)
        {
            using var reader = new StreamReader(Console.OpenStandardInput(), Encoding.UTF8);
            line = ReadLine(reader);
        }
        else
        {
            run.Talk.Say($"{what}:");
            line = hidden ? Hidden() : Console.ReadLine();
        }

        return string.IsNullOrWhiteSpace(line) ? throw CommandFault.BadInput($"{what}: nothing was given.") : line.Trim();
    }

    private static string ReadLine(StreamReader reader)
    {
        var line = new StringBuilder();
        int next;
        while ((next = reader.Read()) >= 0 && next != '\n')
        {
            if (line.Length == Longest)
            {
                throw CommandFault.BadInput($"The line is longer than {Longest} characters.");
            }

            line.Append((char)next);
        }

        return line.ToString();
    }

    private static string Hidden()
    {
        var typed = new StringBuilder();
        while (Console.ReadKey(intercept: true) is var key && key.Key != ConsoleKey.Enter && typed.Length < Longest)
        {
            if (key.Key == ConsoleKey.Backspace)
            {
                typed.Length = Math.Max(0, typed.Length - 1);
            }
            else
            {
                typed.Append(key.KeyChar);
            }
        }

        return typed.ToString();
    }
}
