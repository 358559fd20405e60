namespace KitMesh.Cli.Demonstration;

/// <summary>Where the demo's files lie.</summary>
internal sealed class DemoLayout
{
    public DemoLayout(string root)
    {
        Root = Path.GetFullPath(root);
        foreach (string folder in (string[])[Root, Logs, Pocket, Slots, Drives, Inbox, AgentFiles])
        {
            Directory.CreateDirectory(folder);
        }
    }

    /// <summary>The top folder.</summary>
    public string Root { get; }

    /// <summary>The trip file, as the hub reads it.</summary>
    public string Trip => Path.Combine(Root, "trip.yaml");

    /// <summary>The shared clock.</summary>
    public string Clock => Path.Combine(Root, "world.clock");

    /// <summary>The hub's journal and store.</summary>
    public string HubData => Path.Combine(Root, "hub");

    /// <summary>What the processes say.</summary>
    public string Logs => Path.Combine(Root, "logs");

    /// <summary>Cards that are in no slot.</summary>
    public string Pocket => Path.Combine(Root, "cards");

    /// <summary>The station's card slots.</summary>
    public string Slots => Path.Combine(Root, "slots");

    /// <summary>The drives that are plugged in.</summary>
    public string Drives => Path.Combine(Root, "drives");

    /// <summary>Where the phone's page drops what people type.</summary>
    public string Inbox => Path.Combine(Root, "phone-inbox");

    /// <summary>The station's sysfs.</summary>
    public string Sysfs => Path.Combine(Root, "sys");

    /// <summary>Agent files, with the agents' data beside them.</summary>
    public string AgentFiles => Path.Combine(Root, "agents");

    /// <summary>A folder name for a kit name.</summary>
    public static string FolderName(string kitName) => kitName.Replace(' ', '-');
}
