using System.CommandLine;
using KitMesh.Cli.Asking;

namespace KitMesh.Cli.Frame;

/// <summary>One run of one verb: its parsed options, where its data and its talk go, and when to stop.</summary>
internal sealed class CommandRun
{
    private readonly ParseResult _parsed;

    public CommandRun(ParseResult parsed, Surroundings surroundings)
    {
        _parsed = parsed;
        Surroundings = surroundings;
        Json = parsed.GetValue(OptionKit.Json);
        IdentityFolder = parsed.GetValue(OptionKit.Identity)?.FullName ?? HubChannel.StandardFolder;
        Out = new DataOut(surroundings);
        Talk = new Talk(surroundings);
    }

    /// <summary>Clocks, generators and streams.</summary>
    public Surroundings Surroundings { get; }

    /// <summary>True when the user asked for JSON: then stdout carries JSON and nothing else.</summary>
    public bool Json { get; }

    /// <summary>Folder of this device's identity, for hubs at https addresses.</summary>
    public string IdentityFolder { get; }

    /// <summary>Stdout: what was asked for.</summary>
    public DataOut Out { get; }

    /// <summary>Stderr: progress and remarks.</summary>
    public Talk Talk { get; }

    /// <summary>Cancelled by Ctrl+C and by SIGTERM.</summary>
    public CancellationToken Stop => Surroundings.Stop.Token;

    /// <summary>An option's value; its default when not given.</summary>
    public T Get<T>(Option<T> option) => _parsed.GetValue(option)!;

    /// <summary>An argument's value.</summary>
    public T Get<T>(Argument<T> argument) => _parsed.GetValue(argument)!;

    /// <summary>True when the user wrote the option.</summary>
    public bool IsGiven(Option option) => _parsed.GetResult(option) is { Implicit: false };
}
