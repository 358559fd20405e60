namespace KitMesh.Cli.Frame;

/// <summary>What the process tells its caller. One number, one meaning.</summary>
internal enum ExitCode
{
    /// <summary>Done, and nothing to worry about.</summary>
    Good = 0,

    /// <summary>Done, and the answer is bad news: a card on hold, a standing alert, an outlook past its limit.</summary>
    BadNews = 1,

    /// <summary>The command line or a file that it names is wrong; nothing was done.</summary>
    BadInput = 2,

    /// <summary>The hub does not answer.</summary>
    HubUnreachable = 3,

    /// <summary>A fault of this program.</summary>
    Internal = 4,

    /// <summary>Ctrl+C.</summary>
    Interrupted = 130,
}
