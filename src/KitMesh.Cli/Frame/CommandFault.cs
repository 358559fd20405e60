namespace KitMesh.Cli.Frame;

/// <summary>A command cannot do what it was asked. Thrown anywhere below a command, printed in one place.</summary>
/// <remarks>The message says what happened to which thing; <see cref="Mend"/> says what to do next.</remarks>
internal sealed class CommandFault : Exception
{
    public CommandFault(ExitCode code, string message, string? mend = null, Exception? inner = null)
        : base(message, inner)
    {
        Code = code;
        Mend = mend;
    }

    /// <summary>What the process returns.</summary>
    public ExitCode Code { get; }

    /// <summary>What to do next; null when the message says it all.</summary>
    public string? Mend { get; }

    /// <summary>Wrong command line or wrong file.</summary>
    public static CommandFault BadInput(string message, string? mend = null, Exception? inner = null) => new(ExitCode.BadInput, message, mend, inner);

    /// <summary>Nobody answers at the hub's address.</summary>
    public static CommandFault HubUnreachable(Uri hub, Exception? inner = null) => new(
        ExitCode.HubUnreachable,
        $"No hub answers at {hub}.",
        "Is it running (kitmesh hub)? Is the address right, http or https as the hub said it? Nothing was changed.",
        inner);
}
