using YamlDotNet.Core;
using YamlDotNet.Core.Events;
using YamlDotNet.RepresentationModel;

namespace KitMesh.TripFile.Reading;

/// <summary>Parses YAML that a person wrote, whatever it holds.</summary>
/// <remarks>
/// Two traps of the parser: some malformed texts make it throw other exceptions than its own, and the node tree is loaded
/// recursively, so that a few ten thousand brackets would overflow the stack. So its events are walked first, which takes no
/// recursion: they give the line of every fault and the depth, which is bounded.
/// </remarks>
internal static class YamlText
{
    /// <summary>Deeper than any trip file goes.</summary>
    public const int MaxDepth = 16;

    private const string Unreadable = "something in or after this line cannot be read.";

    /// <summary>What is wrong with a text.</summary>
    public sealed record Fault(int Line, string Message);

    /// <summary>Parses a text; returns what is wrong, or null.</summary>
    public static Fault? Load(string text, out YamlStream stream)
    {
        stream = new YamlStream();
        if (Walk(text) is { } fault)
        {
            return fault;
        }

        var parser = new Parser(new StringReader(text));
        try
        {
            stream.Load(parser);
            return null;
        }
        catch (YamlException wrong)
        {
            return new Fault(LineOf(wrong.Start), wrong.Message);
        }
        catch (Exception wrong) when (IsMalformed(wrong))
        {
            return new Fault(parser.Current is { } last ? LineOf(last.End) : 1, Unreadable);
        }
    }

    private static Fault? Walk(string text)
    {
        var parser = new Parser(new StringReader(text));
        int depth = 0;
        int line = 1;
        try
        {
            while (parser.MoveNext())
            {
                line = LineOf(parser.Current!.End);
                depth += parser.Current switch
                {
                    MappingStart or SequenceStart => 1,
                    MappingEnd or SequenceEnd => -1,
                    _ => 0,
                };
                if (depth > MaxDepth)
                {
                    return new Fault(line, $"lists and mappings stand more than {MaxDepth} deep in each other.");
                }
            }

            return null;
        }
        catch (YamlException wrong)
        {
            return new Fault(LineOf(wrong.Start), wrong.Message);
        }
        catch (Exception wrong) when (IsMalformed(wrong))
        {
            return new Fault(line, Unreadable);
        }
    }

    // What the parser throws, besides its own exception, on texts that are no YAML; found by random changes of a sound file.
    private static bool IsMalformed(Exception fault) => fault is InvalidOperationException or ArgumentException;

    private static int LineOf(Mark mark) => (int)Math.Max(1, mark.Line);
}
