using System.Text;
using System.Xml;
using System.Xml.Linq;
using System.Xml.Schema;
using KitMesh.Domain;
using KitMesh.Footage.Manifests;
using NodaTime;

namespace KitMesh.Tests.Footage.Manifests;

/// <summary>
/// ASC MHL, Specification v1.0 of 15 March 2022. ascmhl-appendix-a.xsd says in our words what its Appendix A says of order,
/// enumerations and patterns; ascmhl-reference.xsd where the standard's reference schema differs.
/// </summary>
public sealed class MhlTests
{
    private static readonly Instant Created = Instant.FromUtc(2026, 2, 11, 8, 2, 28);

    [Fact]
    public void FileName_IsNumberFolderAndUtcTimeOfTheStart() =>
        Assert.Equal("0001_A002R2EC_2019-01-07_080228Z.mhl", MhlManifest.FileName(1, "A002R2EC", Instant.FromUtc(2019, 1, 7, 8, 2, 28)));

    [Theory]
    [InlineData("ascmhl-appendix-a.xsd")]
    [InlineData("ascmhl-reference.xsd")]
    public void Write_IsValidAgainstBothFormsOfTheSchema(string schema)
    {
        byte[] bytes = MhlXml.Write(Manifest(MhlAction.Original));

        Assert.Empty(Violations(bytes, schema, "urn:ASC:MHL:v2.0"));
        Assert.NotEmpty(Violations(Changed(bytes, "original", "first"), schema, "urn:ASC:MHL:v2.0"));
        Assert.NotEmpty(Violations(Changed(bytes, "transfer", "move"), schema, "urn:ASC:MHL:v2.0"));
    }

    [Fact]
    public void Schemas_WhereTheTwoFormsDiffer_AreNotTheSame()
    {
        // Hashes out of order and without an action: the reference schema takes them, Appendix A does not.
        byte[] bytes = Changed(MhlXml.Write(Manifest(MhlAction.Original)), " action=\"original\"", "");

        Assert.Empty(Violations(bytes, "ascmhl-reference.xsd", "urn:ASC:MHL:v2.0"));
        Assert.NotEmpty(Violations(bytes, "ascmhl-appendix-a.xsd", "urn:ASC:MHL:v2.0"));
    }

    [Fact]
    public void WriteChain_IsValidAndNumbersFromOne()
    {
        byte[] chain = MhlXml.WriteChain([new("0001_D1_2026-02-11_080228Z.mhl", C4Id.Of([1])), new("0002_D1_2026-02-12_080228Z.mhl", C4Id.Of([2]))]);

        Assert.Empty(Violations(chain, "ascmhl-chain.xsd", "urn:ASC:MHL:DIRECTORY:v2.0"));
        Assert.Equal(["1", "2"], XElement.Parse(Encoding.UTF8.GetString(chain)).Elements().Select(element => element.Attribute("sequencenr")!.Value));
        Assert.Equal(2, MhlXml.ReadChain(chain, out _)!.Count);
    }

    [Fact]
    public void Read_GivesBackWhatWasWritten()
    {
        MhlManifest manifest = Manifest(MhlAction.Verified);

        Assert.Equal(manifest, MhlXml.Read(MhlXml.Write(manifest), out string wrong));
        Assert.Empty(wrong);
    }

    [Fact]
    public void Write_HashesOfAFile_StandInAlphabeticalOrder()
    {
        XElement hash = XElement.Parse(Encoding.UTF8.GetString(MhlXml.Write(Manifest(MhlAction.Original)))).Descendants().First(element => element.Name.LocalName == "hash");

        Assert.Equal(["path", "c4", "md5", "xxh128", "xxh64"], hash.Elements().Select(element => element.Name.LocalName));
    }

    [Fact]
    public void Read_HashesInAnyOrderAndMetadataBeforeHashes_IsTaken()
    {
        // The reference schema allows any order; section 6.4.1 puts metadata before hashes, Appendix A after.
        const string Text = """
            <hashlist version="2.0" xmlns="urn:ASC:MHL:v2.0">
              <creatorinfo><creationdate>2020-01-16T09:15:00+01:00</creationdate><hostname>h</hostname><tool version="1">t</tool></creatorinfo>
              <processinfo><process>in-place</process></processinfo>
              <metadata><x/></metadata>
              <hashes><hash><path size="5">Clips/A002C006_141024_R2EC.mov</path><xxh64 action="original">0ea03b369a463d9d</xxh64><md5>00</md5></hash></hashes>
            </hashlist>
            """;

        MhlManifest manifest = MhlXml.Read(Encoding.UTF8.GetBytes(Text), out string wrong)!;

        Assert.Empty(wrong);
        Assert.Equal(Instant.FromUtc(2020, 1, 16, 8, 15), manifest.Created);
        Assert.Equal(2, manifest.Entries.Single().Hashes.Count);
        Assert.Null(manifest.Entries.Single().Hashes[1].Action);
    }

    [Theory]
    [InlineData("../outside.mov")]
    [InlineData("/etc/passwd")]
    [InlineData("a/../../b.mov")]
    [InlineData("a\\b.mov")]
    [InlineData("")]
    public void Read_PathThatLeadsOut_IsRefused(string path)
    {
        string text = Encoding.UTF8.GetString(MhlXml.Write(Manifest(MhlAction.Original))).Replace("clips/a.mov", path, StringComparison.Ordinal);

        Assert.Null(MhlXml.Read(Encoding.UTF8.GetBytes(text), out string wrong));
        Assert.NotEmpty(wrong);
        Assert.Throws<ArgumentException>(() => MhlXml.Write(Manifest(MhlAction.Original) with { Entries = [new MhlEntry(path, 1, null, [])] }));
    }

    [Theory]
    [InlineData("<hashlist version='3.0' xmlns='urn:ASC:MHL:v2.0'/>")]
    [InlineData("<hashlist version='2.0'/>")]
    [InlineData("<!DOCTYPE x [<!ENTITY e SYSTEM 'file:///etc/passwd'>]><hashlist version='2.0' xmlns='urn:ASC:MHL:v2.0'>&e;</hashlist>")]
    [InlineData("no XML at all")]
    [InlineData("")]
    public void Read_WhatIsNoManifest_IsRefusedInWords(string text)
    {
        Assert.Null(MhlXml.Read(Encoding.UTF8.GetBytes(text), out string wrong));
        Assert.NotEmpty(wrong);
    }

    [Theory]
    [InlineData(1, 3)]
    [InlineData(1, 1)]
    [InlineData(0, 1)]
    public void ReadChain_GapOrDouble_IsRefused(int first, int second)
    {
        string text = $"""
            <ascmhldirectory xmlns="urn:ASC:MHL:DIRECTORY:v2.0">
              <hashlist sequencenr="{first}"><path>a.mhl</path><c4>c4</c4></hashlist>
              <hashlist sequencenr="{second}"><path>b.mhl</path><c4>c4</c4></hashlist>
            </ascmhldirectory>
            """;

        Assert.Null(MhlXml.ReadChain(Encoding.UTF8.GetBytes(text), out string wrong));
        Assert.NotEmpty(wrong);
    }

    [Fact]
    public void Basis_FailedHashes_AreNeverComparedWith()
    {
        MhlManifest first = Manifest(MhlAction.Original) with { Entries = [new MhlEntry("a", 1, null, [new("md5", "aa", MhlAction.Original, null)])] };
        MhlManifest second = first with { Entries = [new MhlEntry("a", 1, null, [new("md5", "bb", MhlAction.Failed, null), new("xxh64", "cc", MhlAction.Verified, null)])] };

        IReadOnlyDictionary<string, string> basis = MhlComparison.Basis([first, second])["a"];

        Assert.Equal("aa", basis["md5"]);
        Assert.True(MhlComparison.Agree(basis, new Dictionary<string, string> { ["md5"] = "AA" }));
        Assert.False(MhlComparison.Agree(basis, new Dictionary<string, string> { ["md5"] = "aa", ["xxh64"] = "cd" }));
        Assert.Null(MhlComparison.Agree(basis, new Dictionary<string, string> { ["sha1"] = "aa" }));
    }

    [Fact]
    public void Basis_MovedFile_KeepsItsHashes()
    {
        MhlManifest first = Manifest(MhlAction.Original) with { Entries = [new MhlEntry("a", 1, null, [new("md5", "aa", MhlAction.Original, null)])] };
        MhlManifest second = first with { Entries = [new MhlEntry("b", 1, null, [new("xxh64", "cc", MhlAction.Verified, null)], "a")] };

        var basis = MhlComparison.Basis([first, second]);

        Assert.Equal("aa", basis["b"]["md5"]);
        Assert.False(basis.ContainsKey("a"));
    }

    private static MhlManifest Manifest(MhlAction action) => new(
        Created,
        "station & co",
        "KitMesh",
        "0.1.0",
        MhlProcess.Transfer,
        [".DS_Store", "ascmhl", "ascmhl/"],
        [
            new MhlEntry("clips/a.mov", 5, Created, [
                new("xxh64", "0ea03b369a463d9d", action, Created),
                new("xxh128", "99aa06d3014798d86001c324468d497f", action, Created),
                new("md5", "d41d8cd98f00b204e9800998ecf8427e", action, Created),
                new("c4", C4Id.Of([]), action, Created),
            ]),
        ],
        [])
    {
        Directories = [new("", "xxh128", "aa", "bb"), new("clips", "xxh128", "cc", "dd")],

        // What is read back has its hashes in the order of the file.
        Entries = [
            new MhlEntry("clips/a.mov", 5, Created, [
                new("c4", C4Id.Of([]), action, Created),
                new("md5", "d41d8cd98f00b204e9800998ecf8427e", action, Created),
                new("xxh128", "99aa06d3014798d86001c324468d497f", action, Created),
                new("xxh64", "0ea03b369a463d9d", action, Created),
            ]),
        ],
    };

    private static byte[] Changed(byte[] xml, string from, string to) => Encoding.UTF8.GetBytes(Encoding.UTF8.GetString(xml).Replace(from, to, StringComparison.Ordinal));

    private static List<string> Violations(byte[] xml, string schema, string space)
    {
        List<string> violations = [];
        var set = new XmlSchemaSet();
        set.Add(space, Path.Combine(AppContext.BaseDirectory, "Published", schema));
        var settings = new XmlReaderSettings { ValidationType = ValidationType.Schema, Schemas = set };
        settings.ValidationEventHandler += (_, e) => violations.Add(e.Message);
        using var reader = XmlReader.Create(new MemoryStream(xml), settings);
        while (reader.Read())
        {
        }

        return violations;
    }
}
