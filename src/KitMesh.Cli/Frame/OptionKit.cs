using System.CommandLine;
using System.CommandLine.Parsing;
using System.Globalization;
using System.Numerics;

namespace KitMesh.Cli.Frame;

/// <summary>Makes options whose help names range and default, and whose values are checked before anything runs.</summary>
internal static class OptionKit
{
    /// <summary><c>--json</c>, understood by every verb.</summary>
    public static readonly Option<bool> Json = new("--json")
    {
        Description = "Print JSON on stdout and nothing else there. Default: off.",
        Recursive = true,
    };

    /// <summary><c>--identity</c>, understood by every verb that asks a hub.</summary>
    public static readonly Option<DirectoryInfo?> Identity = new("--identity")
    {
        Description = "Folder of this device's identity, for hubs at https addresses (docs/enrolment.md). Default: kitmesh/identity in the user's configuration folder.",
        HelpName = "folder",
        Recursive = true,
    };

    /// <summary>A number with its range.</summary>
    /// <param name="name">With its two hyphens.</param>
    /// <param name="description">What it does, with its unit.</param>
    /// <param name="least">Least value allowed.</param>
    /// <param name="most">Greatest value allowed.</param>
    /// <param name="standard">Value when not given.</param>
    public static Option<T> Number<T>(string name, string description, T least, T most, T standard)
        where T : struct, INumber<T> => Ranged(name, description, least, most, standard, required: false);

    /// <summary>A number with its range that must be given.</summary>
    /// <param name="name">With its two hyphens.</param>
    /// <param name="description">What it does, with its unit.</param>
    /// <param name="least">Least value allowed.</param>
    /// <param name="most">Greatest value allowed.</param>
    public static Option<T> NumberRequired<T>(string name, string description, T least, T most)
        where T : struct, INumber<T> => Ranged(name, description, least, most, T.Zero, required: true);

    /// <summary>A switch that is off unless written.</summary>
    /// <param name="name">With its two hyphens.</param>
    /// <param name="description">What it does.</param>
    public static Option<bool> Switch(string name, string description) => new(name) { Description = $"{description} Default: off." };

    /// <summary>Text with a default.</summary>
    /// <param name="name">With its two hyphens.</param>
    /// <param name="description">What it means.</param>
    /// <param name="standard">Value when not given; null when it may be absent.</param>
    public static Option<string?> Text(string name, string description, string? standard = null) => new(name)
    {
        Description = description,
        DefaultValueFactory = _ => standard,
    };

    /// <summary>Text that must be given.</summary>
    /// <param name="name">With its two hyphens.</param>
    /// <param name="description">What it means.</param>
    public static Option<string> TextRequired(string name, string description) => new(name) { Description = $"{description} Required.", Required = true };

    /// <summary>A file that must exist and must be given.</summary>
    /// <param name="name">With its two hyphens.</param>
    /// <param name="description">What is in it.</param>
    public static Option<FileInfo> ExistingFile(string name, string description) =>
        new Option<FileInfo>(name) { Description = $"{description} Required; the file must exist.", Required = true, HelpName = "file" }.AcceptExistingOnly();

    /// <summary>A folder that need not exist yet.</summary>
    /// <param name="name">With its two hyphens.</param>
    /// <param name="description">What goes there.</param>
    /// <param name="required">True when it must be given.</param>
    public static Option<DirectoryInfo?> Folder(string name, string description, bool required) => new(name)
    {
        Description = required ? $"{description} Required; made when absent." : $"{description} Made when absent.",
        Required = required,
        HelpName = "folder",
    };

    /// <summary><c>--hub URL</c>: which hub to ask.</summary>
    public static Option<Uri> Hub() => new("--hub")
    {
        Description = "Address of the hub, http or https.",
        HelpName = "url",
        DefaultValueFactory = _ => new Uri("http://127.0.0.1:7433"),
        CustomParser = ParseHub,
    };

    private static Option<T> Ranged<T>(string name, string description, T least, T most, T standard, bool required)
        where T : struct, INumber<T>
    {
        string range = string.Create(CultureInfo.InvariantCulture, $"From {least} to {most}");
        var option = new Option<T>(name)
        {
            Description = required ? $"{description} {range}; required." : $"{description} {range}.",
            Required = required,
            HelpName = "number",
            CustomParser = result => ParseNumber(result, name, least, most),
        };
        if (!required)
        {
            option.DefaultValueFactory = _ => standard;
        }

        return option;
    }

    private static T ParseNumber<T>(ArgumentResult result, string name, T least, T most)
        where T : struct, INumber<T>
    {
        string text = result.Tokens.Count > 0 ? result.Tokens[^1].Value : "";
        if (T.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out T value) && value >= least && value <= most)
        {
            return value;
        }

        result.AddError(string.Create(CultureInfo.InvariantCulture, $"{name} takes a number from {least} to {most}, not \"{text}\"."));
        return least;
    }

    private static Uri? ParseHub(ArgumentResult result)
    {
        string text = result.Tokens.Count > 0 ? result.Tokens[^1].Value : "";
        if (Uri.TryCreate(text, UriKind.Absolute, out Uri? hub) && hub.Scheme is "http" or "https")
        {
            return hub;
        }

        result.AddError($"--hub takes an address such as http://127.0.0.1:7433, not \"{text}\".");
        return null;
    }
}
