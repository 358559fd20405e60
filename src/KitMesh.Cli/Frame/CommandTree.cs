using System.CommandLine;
using System.Reflection;

namespace KitMesh.Cli.Frame;

/// <summary>Hangs every <see cref="ICommandFile"/> of this assembly where its namespace says.</summary>
internal static class CommandTree
{
    private const string Top = "KitMesh.Cli.Commands";

    private static readonly (string Folder, string Description)[] Folders =
    [
        ("Bench", "Measure what this machine does; nothing here touches a trip's data."),
        ("Export", "Write what the mesh knows for people and for other programs."),
        ("Calc", "Small computations for planning, with the figures they used."),
    ];

    /// <summary>The root command with all verbs.</summary>
    /// <param name="surroundings">Handed to every verb.</param>
    public static RootCommand Build(Surroundings surroundings)
    {
        var root = new RootCommand("Keeps a film crew's gear charged and its footage safe, weeks off grid. Safety words: docs/safety.md.");
        root.Options.Add(OptionKit.Json);
        root.Options.Add(OptionKit.Identity);

        Dictionary<string, Command> groups = [];
        foreach ((string folder, string description) in Folders)
        {
            groups[$"{Top}.{folder}"] = new Command(folder.ToLowerInvariant(), description);
        }

        foreach (ICommandFile file in Files())
        {
            Command parent = groups.GetValueOrDefault(file.GetType().Namespace!, root);
            parent.Subcommands.Add(file.Build(surroundings));
        }

        foreach (Command group in groups.Values.Where(group => group.Subcommands.Count > 0))
        {
            root.Subcommands.Add(group);
        }

        return root;
    }

    private static IEnumerable<ICommandFile> Files() =>
        Assembly
            .GetExecutingAssembly()
            .GetTypes()
            .Where(type => type is { IsClass: true, IsAbstract: false } && type.IsAssignableTo(typeof(ICommandFile)))
            .OrderBy(type => type.Name, StringComparer.Ordinal)
            .Select(type => (ICommandFile)Activator.CreateInstance(type)!);
}
